package webdocs

import (
	"crypto/sha256"
	"crypto/sha512"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io/fs"
	"net/http"
	"path"
	"slices"
	"strings"
)

// widgets are the custom elements that other sites may embed, under a short-lived and a pinned address.
type widgets struct {
	files map[string]*file // by name, for a short time, and by hash/name, for ever
	list  []widget
}

// widget is one line of the manifest.
type widget struct {
	Name   string // file name
	Tag    string // the element it defines, * for all of them, or nothing for what others import
	Hash   string // first 16 hex digits of its SHA-256
	SRI    string
	Bytes  int
	Brotli int
}

// manifest is dist/manifest.json of clients/js.
type manifest struct {
	Files map[string]struct {
		SRI    string `json:"sri"`
		Bytes  int    `json:"bytes"`
		Brotli int    `json:"brotli"`
		Tag    string `json:"tag"`
	} `json:"files"`
}

// integrity is the value of an integrity attribute for a file.
func integrity(data []byte) string {
	sum := sha512.Sum384(data)
	return "sha384-" + base64.StdEncoding.EncodeToString(sum[:])
}

// loadWidgets reads dist/manifest.json and the files it names, and checks one against the other; nil has no widgets.
func loadWidgets(dist fs.FS) (*widgets, error) {
	w := &widgets{map[string]*file{}, nil}
	if dist == nil {
		return w, nil
	}
	data, err := fs.ReadFile(dist, "dist/manifest.json")
	if err != nil {
		return nil, fmt.Errorf("webdocs: widgets: %w", err)
	}
	var m manifest
	if err := json.Unmarshal(data, &m); err != nil {
		return nil, fmt.Errorf("webdocs: widgets: dist/manifest.json: %w", err)
	}
	for name, entry := range m.Files {
		data, err := fs.ReadFile(dist, path.Join("dist", name))
		if err != nil {
			return nil, fmt.Errorf("webdocs: widgets: %w", err)
		}
		if sri := integrity(data); entry.SRI != sri || entry.Bytes != len(data) {
			const wrong = "webdocs: widgets: %s is not what the manifest says: %d bytes, %s"
			return nil, fmt.Errorf(wrong, name, len(data), sri)
		}
		sum := sha256.Sum256(data)
		one := widget{
			Name: name, Tag: entry.Tag, Hash: hex.EncodeToString(sum[:8]), SRI: entry.SRI,
			Bytes: entry.Bytes, Brotli: entry.Brotli,
		}
		brotli, err := fs.ReadFile(dist, path.Join("dist", name+".br"))
		if err != nil || len(brotli) != entry.Brotli {
			const wrong = "webdocs: widgets: %s.br: %d bytes, the manifest says %d: %v"
			return nil, fmt.Errorf(wrong, name, len(brotli), entry.Brotli, err)
		}
		for at, caching := range map[string]string{
			name: "public, max-age=300", one.Hash + "/" + name: "public, max-age=31536000, immutable",
		} {
			f := newFile("text/javascript; charset=utf-8", caching, data)
			f.Prefer("br", brotli)
			w.files[at] = f
		}
		w.list = append(w.list, one)
	}
	slices.SortFunc(w.list, func(a, b widget) int { return strings.Compare(a.Name, b.Name) })
	return w, nil
}

func (w *widgets) latest(rw http.ResponseWriter, r *http.Request) {
	w.serve(rw, r, w.files[r.PathValue("file")])
}

func (w *widgets) pinned(rw http.ResponseWriter, r *http.Request) {
	w.serve(rw, r, w.files[r.PathValue("hash")+"/"+r.PathValue("file")])
}

func (w *widgets) serve(rw http.ResponseWriter, r *http.Request, f *file) {
	h := rw.Header()
	h.Set("Access-Control-Allow-Origin", "*")
	h.Set("Cross-Origin-Resource-Policy", "cross-origin")
	if f == nil {
		h.Set("Cache-Control", "no-store")
		http.Error(rw, "There is no such file; /docs/embed/ lists those there are.", http.StatusNotFound)
		return
	}
	f.serve(rw, r)
}
