package transport

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"sync"

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

// entityTag names a representation by its bytes: a strong validator (RFC 9110, 8.8.3).
func entityTag(body []byte, coding string) string {
	sum := sha256.Sum256(body)
	return `"` + base64.RawURLEncoding.EncodeToString(sum[:18]) + coding + `"`
}

// send writes a whole body: with a strong entity tag for what was read by GET or
// HEAD, 304 where the caller has it, and compressed where that is asked for.
func send(c echo.Context, status int, media string, body []byte) error {
	req, h := c.Request(), c.Response().Header()
	h.Set(echo.HeaderContentType, media)
	packed := false
	if len(body) >= leastCompressed {
		h.Add(echo.HeaderVary, echo.HeaderAcceptEncoding)
		packed = negotiate.Accepts(req.Header.Get(echo.HeaderAcceptEncoding), "gzip")
	}
	switch reading := req.Method == http.MethodGet || req.Method == http.MethodHead; {
	case status == http.StatusOK && reading:
		coding := ""
		if packed {
			coding = "-gzip"
		}
		tag := entityTag(body, coding)
		h.Set(etag, tag)
		if h.Get(cacheControl) == "" {
			h.Set(cacheControl, keepAnHour)
		}
		if negotiate.Has(req.Header.Get(ifNoneMatch), tag) {
			h.Del(echo.HeaderContentType)
			c.Response().WriteHeader(http.StatusNotModified)
			return nil
		}
	case h.Get(cacheControl) == "":
		h.Set(cacheControl, "no-store")
	}
	if packed {
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
	h.Set(echo.HeaderContentLength, strconv.Itoa(len(body)))
	c.Response().WriteHeader(status)
	_, err := c.Response().Write(body)
	return err
}

// buffers hold an answer until it is written.
var buffers = sync.Pool{New: func() any { return new(bytes.Buffer) }}

// writeJSON writes a value as JSON; the same value gives the same bytes.
func writeJSON(c echo.Context, status int, v any) error {
	buf := buffers.Get().(*bytes.Buffer)
	defer buffers.Put(buf)
	buf.Reset()
	enc := json.NewEncoder(buf)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		var unsupported *json.UnsupportedValueError
		if errors.As(err, &unsupported) {
			return fmt.Errorf("a calculation returned a value that JSON cannot hold: %w", err)
		}
		return err
	}
	media := c.Response().Header().Get(echo.HeaderContentType)
	if media == "" {
		media = echo.MIMEApplicationJSON
	}
	return send(c, status, media, buf.Bytes())
}
