package install

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"os"
	"path"
	"strings"
	"time"

	"golang.org/x/mod/module"
	"golang.org/x/mod/sumdb/dirhash"
	"golang.org/x/mod/zip"
)

// The Go client is a package of this repository here, and a module of its own where it is installed. Names below
// .example belong to nobody for ever (RFC 2606), so nobody else can hand out a module of that path.
const (
	packageHere = "saltwright/clients/go"
	modulePath  = "saltwright.example/saltwright"
	goVersion   = "1.26.0" // that of our own go.mod: no older one was tried
)

// goModule is the Go module as a module proxy has it below /go, with its checksum.
// Source: https://go.dev/ref/mod#goproxy-protocol (from memory, tried with the go command).
func goModule(sources fs.FS, version string) ([]Document, string, error) {
	files, err := moduleFiles(sources)
	if err != nil {
		return nil, "", err
	}
	at := module.Version{Path: modulePath, Version: "v" + version}
	var zipped bytes.Buffer
	if err := zip.Create(&zipped, at, files); err != nil {
		return nil, "", err
	}
	sum, err := sumOf(files, at)
	if err != nil {
		return nil, "", err
	}
	info, err := json.Marshal(map[string]string{"Version": at.Version})
	if err != nil {
		return nil, "", err
	}
	base := "/go/" + modulePath
	return []Document{
		{base + "/@v/list", "text/plain; charset=utf-8", []byte(at.Version + "\n"), false},
		{base + "/@latest", "application/json", info, false},
		{base + "/@v/" + at.Version + ".info", "application/json", info, true},
		{base + "/@v/" + at.Version + ".mod", "text/plain; charset=utf-8", goMod(), true},
		{base + "/@v/" + at.Version + ".zip", "application/zip", zipped.Bytes(), true},
	}, sum, nil
}

func goMod() []byte { return []byte("module " + modulePath + "\n\ngo " + goVersion + "\n") }

// moduleFiles are the client's files without its tests, its own packages imported by the module's path.
func moduleFiles(sources fs.FS) ([]zip.File, error) {
	files := []zip.File{moduleFile{"go.mod", goMod()}, moduleFile{"LICENSE", Licence}}
	err := fs.WalkDir(sources, "go", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.HasSuffix(name, "_test.go") {
			return err
		}
		data, err := fs.ReadFile(sources, name)
		if path.Ext(name) == ".go" {
			data = bytes.ReplaceAll(data, []byte(`"`+packageHere+`/`), []byte(`"`+modulePath+`/`))
		}
		files = append(files, moduleFile{strings.TrimPrefix(name, "go/"), data})
		return err
	})
	return files, err
}

// sumOf is the module's line of go.sum, without path and version.
func sumOf(files []zip.File, at module.Version) (string, error) {
	byName := map[string]zip.File{}
	var names []string
	for _, f := range files {
		name := at.String() + "/" + f.Path()
		byName[name] = f
		names = append(names, name)
	}
	return dirhash.Hash1(names, func(name string) (io.ReadCloser, error) {
		f, ok := byName[name]
		if !ok {
			return nil, errors.New(name + " is no file of the module")
		}
		return f.Open()
	})
}

// moduleFile is one file as package zip takes it.
type moduleFile struct {
	path string
	data []byte
}

func (f moduleFile) Path() string                 { return f.path }
func (f moduleFile) Lstat() (os.FileInfo, error)  { return fileInfo{f}, nil }
func (f moduleFile) Open() (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(f.data)), nil }

type fileInfo struct{ moduleFile }

func (f fileInfo) Name() string       { return path.Base(f.path) }
func (f fileInfo) Size() int64        { return int64(len(f.data)) }
func (f fileInfo) Mode() fs.FileMode  { return 0o644 }
func (f fileInfo) ModTime() time.Time { return time.Time{} }
func (f fileInfo) IsDir() bool        { return false }
func (f fileInfo) Sys() any           { return nil }
