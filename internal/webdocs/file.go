package webdocs

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"net/http"
	"strconv"

	"saltwright/internal/negotiate"
)

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
		negotiate.Vary(h, "Accept-Encoding")
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
