package webdocs

import (
	"net/http"

	"saltwright/internal/catalogue"
	"saltwright/internal/entity"
	"saltwright/internal/negotiate"
)

// file is one page or asset with how long caches may keep it.
type file struct {
	*entity.Entity
	caching  string
	language catalogue.Language // of a page; empty for what speaks none
	status   int
}

func newFile(media, caching string, data []byte) *file {
	return &file{Entity: entity.New(media, data), caching: caching, status: http.StatusOK}
}

func (f *file) serve(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Cache-Control", f.caching)
	if f.language != "" {
		w.Header().Set("Content-Language", string(f.language))
		negotiate.Vary(w.Header(), acceptLanguage)
	}
	f.Serve(w, r, f.status)
}
