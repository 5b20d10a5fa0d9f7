package webdocs

import (
	"bytes"
	"fmt"
	"html/template"
	"net/http"
	"sync"

	"saltwright/internal/catalogue"
	"saltwright/internal/contract"
	"saltwright/internal/methods"
)

// Site answers for "/", "/plan/…", "/docs/…", "/problems/…" and "/embed/…".
type Site struct {
	api       http.Handler
	origin    Origin
	mux       *http.ServeMux
	templates map[catalogue.Language]map[string]*template.Template
	assets    *assets
	widgets   *widgets
	gallery   *gallery
	contract  *contract.Contract
	specimens map[catalogue.Language]func() ([]*specimen, error) // of the gallery
	methods   func() ([]methods.Subject, error)
	kept      sync.Map // key of the request -> *file, for pages that the contract alone decides
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
		s.fail(w, r, http.StatusMethodNotAllowed, readerOf(r).Say("no_method", "method", r.Method))
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
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; " +
	"form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// noPage is what a builder returns for an address it does not know.
type noPage struct{}

func (noPage) Error() string { return "no such page" }

// builder makes the view of a page that the embedded documents alone decide.
type builder func(r *http.Request) (name string, v view, err error)

// page routes an address to a page that is rendered once and kept; as many are kept as the contract names.
func (s *Site) page(pattern string, build builder) {
	s.mux.HandleFunc("GET "+pattern, func(w http.ResponseWriter, r *http.Request) {
		if f, ok := s.kept.Load(key(r)); ok {
			f.(*file).serve(w, r)
			return
		}
		name, v, err := build(r)
		if err != nil {
			s.broken(w, r, err)
			return
		}
		f, err := s.render(r, name, v)
		if err != nil {
			s.broken(w, r, err)
			return
		}
		s.kept.Store(key(r), f)
		f.serve(w, r)
	})
}

func (s *Site) render(r *http.Request, name string, v view) (*file, error) {
	to := readerOf(r)
	t := s.templates[to.Language][name]
	if t == nil {
		return nil, fmt.Errorf("webdocs: no template %s", name)
	}
	v.spoken(r, s.origin.Public)
	var out bytes.Buffer
	if err := t.ExecuteTemplate(&out, "page", v); err != nil {
		return nil, fmt.Errorf("webdocs: %s: %w", name, err)
	}
	return s.written(to, "public, max-age=300", out.Bytes()), nil
}

// written is a page as it is sent to its reader.
func (s *Site) written(to reader, caching string, page []byte) *file {
	if to.chosen {
		page = keep(page, to.Language)
	}
	f := newFile("text/html; charset=utf-8", caching, s.placed(page))
	f.language = to.Language
	return f
}

// placed names this host where a page has originMark. A page whose host the operator named keeps it; otherwise a script
// puts the origin in that the reader came by.
func (s *Site) placed(page []byte) []byte {
	if s.origin.Public != "" {
		page = bytes.Replace(page, []byte(` data-origin="`+originMark+`"`), nil, 1)
	}
	return bytes.ReplaceAll(page, []byte(originMark), []byte(template.HTMLEscapeString(s.origin.address())))
}

// show renders a page that is not kept.
func (s *Site) show(w http.ResponseWriter, r *http.Request, status int, name string, v view) {
	f, err := s.render(r, name, v)
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
	s.fail(w, r, http.StatusNotFound, readerOf(r).Say("no_page"))
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
		s.fail(w, r, http.StatusServiceUnavailable, readerOf(r).Say("broken_off"))
		return
	}
	s.fail(w, r, http.StatusInternalServerError, readerOf(r).Say("our_fault"))
}

func (s *Site) fail(w http.ResponseWriter, r *http.Request, status int, message string) {
	to := readerOf(r)
	v := view{Title: http.StatusText(status), Body: message}
	if code := fmt.Sprint("failed_", status); to.Has(code) {
		v.Title = to.Say(code)
	}
	var out bytes.Buffer
	if err := s.templates[to.Language]["failure"].ExecuteTemplate(&out, "page", v); err != nil {
		http.Error(w, message, status)
		return
	}
	f := s.written(to, "no-store", out.Bytes())
	f.status = status
	f.serve(w, r)
}
