// Package entity holds answers that are known whole before anybody asks: compressed and tagged once, and sent as each
// client takes them (RFC 9110, sections 8.8, 12 and 13).
package entity

import (
	"bytes"
	"compress/gzip"
	"net/http"
	"strconv"
	"sync"

	"github.com/cespare/xxhash/v2"

	"saltwright/internal/negotiate"
)

// LeastPacked is the size in bytes below which compressing costs more than it saves.
const LeastPacked = 1400

// Tag names a representation by a hash of its bytes: a strong validator. It tells the few answers of one address apart
// and keeps no secret, so the hash is a quick one. coding is the content coding, or empty.
func Tag(body []byte, coding string) string {
	var tag [40]byte
	to := strconv.AppendUint(append(tag[:0], '"'), xxhash.Sum64(body), 36)
	if coding != "" {
		to = append(append(to, '-'), coding...)
	}
	return string(append(to, '"'))
}

// NotModified tells whether the client has what a tag names. It sets ETag, and answers 304 if so.
func NotModified(w http.ResponseWriter, r *http.Request, tag string) bool {
	h := w.Header()
	h.Set("ETag", tag)
	if !negotiate.Has(r.Header.Get("If-None-Match"), tag) {
		return false
	}
	h.Del("Content-Type")
	h.Del("Content-Encoding")
	w.WriteHeader(http.StatusNotModified)
	return true
}

// Entity is one body with its media type. It is not changed once it is served.
type Entity struct {
	media  string
	body   []byte
	tag    string
	packed []packing // the best first
}

type packing struct {
	coding, tag string
	data        []byte
}

// New makes an entity of a body, and compresses it where that helps.
func New(media string, body []byte) *Entity {
	e := &Entity{media: media, body: body, tag: Tag(body, "")}
	if len(body) >= LeastPacked {
		var out bytes.Buffer
		z, _ := gzip.NewWriterLevel(&out, gzip.DefaultCompression) // fails for unknown levels only
		_, _ = z.Write(body)                                       // a buffer takes everything
		_ = z.Close()
		e.packed = []packing{{"gzip", Tag(body, "gzip"), out.Bytes()}}
	}
	return e
}

// Prefer adds the body in another coding, which goes to those who take it before all others.
func (e *Entity) Prefer(coding string, data []byte) {
	e.packed = append([]packing{{coding, Tag(e.body, coding), data}}, e.packed...)
}

// Serve sends the entity in the best coding the client takes. An answer of 200 that caches may keep has a tag, and is
// not sent to who has it.
func (e *Entity) Serve(w http.ResponseWriter, r *http.Request, status int) {
	h, body, tag := w.Header(), e.body, e.tag
	h.Set("Content-Type", e.media)
	if e.packed != nil {
		negotiate.Vary(h, "Accept-Encoding")
	}
	for _, p := range e.packed {
		if negotiate.Accepts(r.Header.Get("Accept-Encoding"), p.coding) {
			body, tag = p.data, p.tag
			h.Set("Content-Encoding", p.coding)
			break
		}
	}
	if status == http.StatusOK && h.Get("Cache-Control") != "no-store" && NotModified(w, r, tag) {
		return
	}
	h.Set("Content-Length", strconv.Itoa(len(body)))
	w.WriteHeader(status)
	if r.Method != http.MethodHead {
		_, _ = w.Write(body) // a reader who has gone away is no failure of ours
	}
}

var compressors = sync.Pool{New: func() any {
	w, _ := gzip.NewWriterLevel(nil, gzip.BestSpeed) // fails for unknown levels only
	return w
}}

// Send sends a body that was made for one request: with a tag where it was read by GET or HEAD, and compressed where
// the client takes that. Errors: those of writing.
func Send(w http.ResponseWriter, r *http.Request, status int, media string, body []byte) error {
	h, coding := w.Header(), ""
	h.Set("Content-Type", media)
	if len(body) >= LeastPacked {
		negotiate.Vary(h, "Accept-Encoding")
		if negotiate.Accepts(r.Header.Get("Accept-Encoding"), "gzip") {
			coding = "gzip"
		}
	}
	reading := r.Method == http.MethodGet || r.Method == http.MethodHead
	if status == http.StatusOK && reading && NotModified(w, r, Tag(body, coding)) {
		return nil
	}
	if coding != "" {
		var out bytes.Buffer
		z := compressors.Get().(*gzip.Writer)
		defer compressors.Put(z)
		z.Reset(&out)
		if _, err := z.Write(body); err != nil {
			return err
		}
		if err := z.Close(); err != nil {
			return err
		}
		body = out.Bytes()
		h.Set("Content-Encoding", coding)
	}
	h.Set("Content-Length", strconv.Itoa(len(body)))
	w.WriteHeader(status)
	_, err := w.Write(body)
	return err
}
