package transport

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"sync"

	"github.com/labstack/echo/v4"

	"saltwright/internal/entity"
)

// keepAnHour is what caches may do with an answer to GET: the same request has
// the same answer until a new version of the service runs.
const keepAnHour = "public, max-age=3600, stale-while-revalidate=86400"

const cacheControl = "Cache-Control"

// send writes a whole body. What was read may be kept for a while, other answers are nobody else's.
func send(c echo.Context, status int, media string, body []byte) error {
	req, h := c.Request(), c.Response().Header()
	if h.Get(cacheControl) == "" {
		reading := req.Method == http.MethodGet || req.Method == http.MethodHead
		h.Set(cacheControl, "no-store")
		if status == http.StatusOK && reading {
			h.Set(cacheControl, keepAnHour)
		}
	}
	if err := entity.Send(c.Response(), req, status, media, body); err != nil {
		return fmt.Errorf("%w: %w", errUnread, err)
	}
	return nil
}

// errUnread is the end of an answer that its caller did not take: it went away, or read too slowly.
var errUnread = errors.New("the answer could not be written")

// fixed serves an answer that never changes.
func fixed(e *entity.Entity) echo.HandlerFunc {
	return func(c echo.Context) error {
		if h := c.Response().Header(); h.Get(cacheControl) == "" {
			h.Set(cacheControl, keepAnHour)
		}
		e.Serve(c.Response(), c.Request(), http.StatusOK)
		return nil
	}
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
func fixedJSON(media string, v any) (*entity.Entity, error) {
	var out bytes.Buffer
	if err := encodeJSON(&out, v); err != nil {
		return nil, err
	}
	return entity.New(media, out.Bytes()), nil
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
