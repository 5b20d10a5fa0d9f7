package transport

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"sync"

	"github.com/cespare/xxhash/v2"
	"github.com/labstack/echo/v4"

	"saltwright/internal/negotiate"
)

// keepAnHour is what caches may do with an answer to GET: the same request has
// the same answer until a new version of the service runs.
const keepAnHour = "public, max-age=3600, stale-while-revalidate=86400"

const (
	ifNoneMatch  = "If-None-Match"
	etag         = "ETag"
	cacheControl = "Cache-Control"
)

// leastCompressed is the size below which gzip costs more than it saves.
const leastCompressed = 1400

var compressors = sync.Pool{New: func() any {
	w, _ := gzip.NewWriterLevel(nil, gzip.BestSpeed) // fails for unknown levels only
	return w
}}

// entityTag names a representation by a hash of its bytes: a strong validator (RFC 9110, 8.8.3). It tells the few
// answers of one address apart and keeps no secret, so the hash is a quick one.
func entityTag(body []byte, coding string) string {
	var tag [40]byte
	to := strconv.AppendUint(append(tag[:0], '"'), xxhash.Sum64(body), 36)
	return string(append(append(to, coding...), '"'))
}

// send writes a whole body: with a strong entity tag for what was read by GET or
// HEAD, 304 where the caller has it, and compressed where that is asked for.
func send(c echo.Context, status int, media string, body []byte) error {
	req, h := c.Request(), c.Response().Header()
	h.Set(echo.HeaderContentType, media)
	packed := false
	if len(body) >= leastCompressed {
		negotiate.Vary(h, echo.HeaderAcceptEncoding)
		packed = negotiate.Accepts(req.Header.Get(echo.HeaderAcceptEncoding), "gzip")
	}
	reading := status == http.StatusOK && (req.Method == http.MethodGet || req.Method == http.MethodHead)
	tag := ""
	if reading {
		coding := ""
		if packed {
			coding = "-gzip"
		}
		tag = entityTag(body, coding)
	}
	if packed && !(reading && negotiate.Has(req.Header.Get(ifNoneMatch), tag)) {
		var out bytes.Buffer
		w := compressors.Get().(*gzip.Writer)
		defer compressors.Put(w)
		w.Reset(&out)
		if _, err := w.Write(body); err != nil {
			return err
		}
		if err := w.Close(); err != nil {
			return err
		}
		body = out.Bytes()
		h.Set(echo.HeaderContentEncoding, "gzip")
	}
	if reading {
		return tagged(c, tag, body)
	}
	if h.Get(cacheControl) == "" {
		h.Set(cacheControl, "no-store")
	}
	return whole(c, status, body)
}

// fixed is an answer that never changes: tagged and compressed once, at start.
type fixed struct {
	media          string
	body, packed   []byte
	tag, packedTag string
}

func newFixed(media string, body []byte) *fixed {
	f := &fixed{media: media, body: body, tag: entityTag(body, "")}
	if len(body) >= leastCompressed {
		var out bytes.Buffer
		w, _ := gzip.NewWriterLevel(&out, gzip.BestCompression) // fails for unknown levels only
		_, _ = w.Write(body)                                    // a buffer takes everything
		_ = w.Close()
		f.packed, f.packedTag = out.Bytes(), entityTag(body, "-gzip")
	}
	return f
}

// serve answers GET and HEAD.
func (f *fixed) serve(c echo.Context) error {
	h, body, tag := c.Response().Header(), f.body, f.tag
	h.Set(echo.HeaderContentType, f.media)
	if f.packed != nil {
		negotiate.Vary(h, echo.HeaderAcceptEncoding)
		if negotiate.Accepts(c.Request().Header.Get(echo.HeaderAcceptEncoding), "gzip") {
			body, tag = f.packed, f.packedTag
			h.Set(echo.HeaderContentEncoding, "gzip")
		}
	}
	return tagged(c, tag, body)
}

// tagged writes a body with its entity tag, or 304 where the caller has it.
func tagged(c echo.Context, tag string, body []byte) error {
	h := c.Response().Header()
	h.Set(etag, tag)
	if h.Get(cacheControl) == "" {
		h.Set(cacheControl, keepAnHour)
	}
	if negotiate.Has(c.Request().Header.Get(ifNoneMatch), tag) {
		h.Del(echo.HeaderContentType)
		h.Del(echo.HeaderContentEncoding)
		c.Response().WriteHeader(http.StatusNotModified)
		return nil
	}
	return whole(c, http.StatusOK, body)
}

// whole writes a body with its length.
func whole(c echo.Context, status int, body []byte) error {
	c.Response().Header().Set(echo.HeaderContentLength, strconv.Itoa(len(body)))
	c.Response().WriteHeader(status)
	_, err := c.Response().Write(body)
	return err
}

// buffers hold an answer until it is written.
var buffers = sync.Pool{New: func() any { return new(bytes.Buffer) }}

// encodeJSON writes a value as JSON into a buffer; the same value gives the same bytes.
func encodeJSON(to *bytes.Buffer, v any) error {
	enc := json.NewEncoder(to)
	enc.SetEscapeHTML(false)
	err := enc.Encode(v)
	var unsupported *json.UnsupportedValueError
	if errors.As(err, &unsupported) {
		return fmt.Errorf("a calculation returned a value that JSON cannot hold: %w", err)
	}
	return err
}

// fixedJSON makes a value an answer that never changes.
func fixedJSON(media string, v any) (*fixed, error) {
	var out bytes.Buffer
	if err := encodeJSON(&out, v); err != nil {
		return nil, err
	}
	return newFixed(media, out.Bytes()), nil
}

// writeJSON answers with a value as JSON.
func writeJSON(c echo.Context, status int, v any) error {
	buf := buffers.Get().(*bytes.Buffer)
	defer buffers.Put(buf)
	buf.Reset()
	if err := encodeJSON(buf, v); err != nil {
		return err
	}
	media := c.Response().Header().Get(echo.HeaderContentType)
	if media == "" {
		media = echo.MIMEApplicationJSON
	}
	return send(c, status, media, buf.Bytes())
}
