package install

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"crypto/sha512"
	"encoding/base64"
	"errors"
	"io/fs"
	"maps"
	"slices"
	"strings"
)

// npmPackage is the npm package with its integrity: all of clients/js that a package holds, and the licence.
func npmPackage(sources fs.FS, version string) (Document, string, error) {
	files := map[string][]byte{"LICENSE": Licence}
	err := fs.WalkDir(sources, "js", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		files[strings.TrimPrefix(name, "js/")], err = fs.ReadFile(sources, name)
		return err
	})
	if err != nil {
		return Document{}, "", err
	}
	data, err := tarball(files)
	if err != nil {
		return Document{}, "", err
	}
	sum := sha512.Sum512(data)
	path := "/clients/saltwright-client-" + version + ".tgz"
	integrity := "sha512-" + base64.StdEncoding.EncodeToString(sum[:])
	return Document{path, "application/octet-stream", data, true}, integrity, nil
}

// tarball packs files below the folder package, as npm has it. The same files give the same bytes: no time, no owner,
// one order, and stored, not compressed, so that a later compressor changes no integrity. HTTP packs it in transit.
func tarball(files map[string][]byte) ([]byte, error) {
	var out bytes.Buffer
	z, err := gzip.NewWriterLevel(&out, gzip.NoCompression)
	if err != nil {
		return nil, err
	}
	t := tar.NewWriter(z)
	for _, name := range slices.Sorted(maps.Keys(files)) {
		size := int64(len(files[name]))
		h := tar.Header{Name: "package/" + name, Mode: 0o644, Size: size, Format: tar.FormatUSTAR}
		if err := t.WriteHeader(&h); err != nil {
			return nil, err
		}
		if _, err := t.Write(files[name]); err != nil {
			return nil, err
		}
	}
	err = errors.Join(t.Close(), z.Close())
	return out.Bytes(), err
}
