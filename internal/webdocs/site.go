// Package webdocs is the front page and the documentation: calculators that work without scripts, the gallery
// of flawed plans, the methods and their sources, the reference of the contract. Everything is embedded, nothing
// is asked of another host, and whatever needs calculating is asked of the API itself, in this process.
package webdocs

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"html/template"
	"io/fs"
	"net/http"
	"strconv"
	"sync"

	"saltwright/api"
	"saltwright/clients/js"
	"saltwright/internal/negotiate"
)

//go:generate go run ./extractmethods -core ../calc -out methods.json

// Site answers for "/", "/docs/…", "/problems/…" and "/embed/…".
type Site struct {
	api       http.Handler
	mux       *http.ServeMux
	templates map[string]*template.Template
	assets    *assets
	widgets   *widgets
	gallery   *gallery
	contract  func() (*contract, error)
	methods   func() ([]subject, error)
	kept      sync.Map // path -> *file, for pages that the contract alone decides
}

// New builds the site over the API that does the calculating. It fails when a template or an embedded file is broken.
func New(calculate http.Handler) (*Site, error) { return build(calculate, js.Dist) }

func build(calculate http.Handler, dist fs.FS) (*Site, error) {
	s := &Site{api: calculate, mux: http.NewServeMux(), contract: sync.OnceValues(func() (*contract, error) { return readContract(api.OpenAPI) }), methods: sync.OnceValues(readMethods)}
	var err error
	if s.assets, err = loadAssets(); err != nil {
		return nil, err
	}
	if s.widgets, err = loadWidgets(dist); err != nil {
		return nil, err
	}
	if s.templates, err = loadTemplates(s.assets); err != nil {
		return nil, err
	}
	s.gallery = newGallery()
	s.mux.HandleFunc("GET /{$}", s.front)
	s.page("/docs/{$}", s.overview)
	s.page("/docs/calculators/{$}", s.calculators)
	s.page("/docs/gallery/{$}", s.galleryIndex)
	s.mux.HandleFunc("GET /docs/gallery/{name}/{$}", s.galleryPlan)
	s.page("/docs/methods/{$}", s.methodIndex)
	s.page("/docs/methods/{subject}/{$}", s.methodSubject)
	s.mux.HandleFunc("GET /docs/sources/{$}", s.sources)
	s.page("/docs/reference/{$}", s.reference)
	s.page("/docs/reference/{operation}/{$}", s.referenceOperation)
	s.page("/docs/reference/schemas/{name}/{$}", s.referenceSchema)
	s.page("/docs/problems/{$}", s.problemIndex)
	s.page("/docs/embed/{$}", s.embedding)
	s.mux.HandleFunc("GET /problems/{code}", s.problem)
	s.mux.HandleFunc("GET /docs/calculators/{name}/{$}", s.calculator)
	s.mux.HandleFunc("POST /docs/calculators/{name}/{$}", s.calculatorPosted)
	s.mux.HandleFunc("GET "+assetPath+"{file}", s.assets.serve)
	s.mux.HandleFunc("GET /embed/v1/{file}", s.widgets.latest)
	s.mux.HandleFunc("GET /embed/{hash}/{file}", s.widgets.pinned)
	return s, nil
}

// ServeHTTP implements http.Handler.
func (s *Site) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Content-Security-Policy", policy)
	if _, pattern := s.mux.Handler(r); pattern == "" {
		s.elsewhere(w, r)
		return
	}
	s.mux.ServeHTTP(w, r)
}

// elsewhere answers for addresses and methods that there are not.
func (s *Site) elsewhere(w http.ResponseWriter, r *http.Request) {
	if s.routed(http.MethodGet, r.URL.Path) {
		allow := "GET, HEAD"
		if s.routed(http.MethodPost, r.URL.Path) {
			allow += ", POST"
		}
		w.Header().Set("Allow", allow)
		s.fail(w, r, http.StatusMethodNotAllowed, "This address does not take "+r.Method+".")
		return
	}
	s.missing(w, r)
}

func (s *Site) routed(method, path string) bool {
	probe, err := http.NewRequest(method, "http://site", nil)
	if err != nil {
		return false
	}
	probe.URL.Path = path
	_, pattern := s.mux.Handler(probe)
	return pattern != ""
}

// policy lets a page run the site's own files and nothing else.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// view is what a template sees.
type view struct {
	Title, About, Section string
	Scripts               []string
	Body                  any
}

// noPage is what a builder returns for an address it does not know.
type noPage struct{}

func (noPage) Error() string { return "no such page" }

// builder makes the view of a page that the embedded documents alone decide.
type builder func(r *http.Request) (name string, v view, err error)

// page routes an address to a page that is rendered once and kept; as many are kept as the contract names.
func (s *Site) page(pattern string, build builder) {
	s.mux.HandleFunc("GET "+pattern, func(w http.ResponseWriter, r *http.Request) {
		if f, ok := s.kept.Load(r.URL.Path); ok {
			f.(*file).serve(w, r)
			return
		}
		name, v, err := build(r)
		if err != nil {
			s.broken(w, r, err)
			return
		}
		f, err := s.render(name, v)
		if err != nil {
			s.broken(w, r, err)
			return
		}
		s.kept.Store(r.URL.Path, f)
		f.serve(w, r)
	})
}

func (s *Site) render(name string, v view) (*file, error) {
	t := s.templates[name]
	if t == nil {
		return nil, fmt.Errorf("webdocs: no template %s", name)
	}
	var out bytes.Buffer
	if err := t.ExecuteTemplate(&out, "page", v); err != nil {
		return nil, fmt.Errorf("webdocs: %s: %w", name, err)
	}
	return newFile("text/html; charset=utf-8", "public, max-age=300", out.Bytes()), nil
}

// show renders a page that is not kept.
func (s *Site) show(w http.ResponseWriter, r *http.Request, status int, name string, v view) {
	f, err := s.render(name, v)
	if err != nil {
		s.broken(w, r, err)
		return
	}
	if status != http.StatusOK || r.Method == http.MethodPost {
		f.caching = "no-store"
	}
	f.status = status
	f.serve(w, r)
}

func (s *Site) missing(w http.ResponseWriter, r *http.Request) {
	s.fail(w, r, http.StatusNotFound, "There is no page at this address.")
}

// broken answers for a failure: the cause is not for the reader.
func (s *Site) broken(w http.ResponseWriter, r *http.Request, err error) {
	if _, ok := err.(noPage); ok {
		s.missing(w, r)
		return
	}
	if refused, ok := err.(*refusal); ok {
		for _, name := range []string{"Retry-After", "RateLimit", "RateLimit-Policy"} {
			if v := refused.header.Get(name); v != "" {
				w.Header().Set(name, v)
			}
		}
		s.fail(w, r, refused.status, refused.problem.Title+". "+refused.problem.Detail)
		return
	}
	if r.Context().Err() != nil {
		s.fail(w, r, http.StatusServiceUnavailable, "The calculation was broken off. Ask again.")
		return
	}
	s.fail(w, r, http.StatusInternalServerError, "This page could not be made. It is our fault, not yours.")
}

func (s *Site) fail(w http.ResponseWriter, r *http.Request, status int, message string) {
	var out bytes.Buffer
	v := view{Title: http.StatusText(status), Body: message}
	if err := s.templates["failure"].ExecuteTemplate(&out, "page", v); err != nil {
		http.Error(w, message, status)
		return
	}
	f := newFile("text/html; charset=utf-8", "no-store", out.Bytes())
	f.status = status
	f.serve(w, r)
}

// file is one answer with everything that does not depend on who asks.
type file struct {
	media, caching, etag string
	status               int
	plain                []byte
	packed               []packing // the best first
}

// packing is the same in a content coding.
type packing struct {
	coding, suffix string // the suffix tells its tag apart
	data           []byte
}

// packable is how small a file may be and still be compressed.
const packable = 1024

func newFile(media, caching string, data []byte) *file {
	sum := sha256.Sum256(data)
	f := &file{media: media, caching: caching, etag: hex.EncodeToString(sum[:16]), status: http.StatusOK, plain: data}
	if len(data) >= packable {
		var out bytes.Buffer
		z, _ := gzip.NewWriterLevel(&out, gzip.DefaultCompression) // the level is one of its own
		_, _ = z.Write(data)                                       // a buffer takes everything
		_ = z.Close()
		if out.Len() < len(data)*9/10 {
			f.packed = []packing{{"gzip", "-gz", out.Bytes()}}
		}
	}
	return f
}

func (f *file) serve(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	h.Set("Content-Type", f.media)
	h.Set("Cache-Control", f.caching)
	body, etag := f.plain, `"`+f.etag+`"`
	if f.packed != nil {
		h.Add("Vary", "Accept-Encoding")
	}
	for _, p := range f.packed {
		if negotiate.Accepts(r.Header.Get("Accept-Encoding"), p.coding) {
			body, etag = p.data, `"`+f.etag+p.suffix+`"`
			h.Set("Content-Encoding", p.coding)
			break
		}
	}
	if f.status == http.StatusOK && f.caching != "no-store" {
		h.Set("ETag", etag)
		if negotiate.Has(r.Header.Get("If-None-Match"), etag) {
			h.Del("Content-Encoding")
			w.WriteHeader(http.StatusNotModified)
			return
		}
	}
	h.Set("Content-Length", strconv.Itoa(len(body)))
	w.WriteHeader(f.status)
	if r.Method != http.MethodHead {
		_, _ = w.Write(body) // a reader who has gone away is no failure of ours
	}
}
