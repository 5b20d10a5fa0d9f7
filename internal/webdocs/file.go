package webdocs

import (
	"net/http"

	"saltwright/internal/entity"
)

// file is one page or asset with how long caches may keep it.
type file struct {
	*entity.Entity
	caching string
	status  int
}

func newFile(media, caching string, data []byte) *file {
	return &file{Entity: entity.New(media, data), caching: caching, status: http.StatusOK}
}

func (f *file) serve(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Cache-Control", f.caching)
	f.Serve(w, r, f.status)
}
