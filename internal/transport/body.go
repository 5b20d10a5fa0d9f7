package transport

import (
	"errors"
	"io"
	"mime"
	"net"
	"net/http"

	"github.com/labstack/echo/v4"

	"saltwright/internal/calc/text"
	"saltwright/internal/contract"
)

// maxBodyBytes is the largest body that is read.
const maxBodyBytes = 64 << 10

// readBody takes the whole body, within its limit.
func readBody(req *http.Request) ([]byte, error) {
	if field := req.Header.Get(echo.HeaderContentType); field != echo.MIMEApplicationJSON {
		media, _, err := mime.ParseMediaType(field)
		if err != nil || media != echo.MIMEApplicationJSON {
			return nil, &requestError{code: "unsupported_media_type"}
		}
	}
	if req.ContentLength > maxBodyBytes {
		return nil, &requestError{code: "payload_too_large"}
	}
	data := make([]byte, 0, max(512, min(req.ContentLength+1, maxBodyBytes+1)))
	for {
		n, err := req.Body.Read(data[len(data):cap(data)])
		data = data[:len(data)+n]
		if len(data) > maxBodyBytes {
			return nil, &requestError{code: "payload_too_large"}
		}
		if errors.Is(err, io.EOF) {
			break
		}
		var slow net.Error
		if errors.As(err, &slow) && slow.Timeout() {
			return nil, &requestError{code: "request_timeout"}
		}
		if err != nil {
			return nil, &contract.Malformed{Said: text.Of("body_not_read", nil)}
		}
		if len(data) == cap(data) {
			data = append(data, 0)[:len(data)]
		}
	}
	if len(data) == 0 {
		return nil, &contract.Malformed{Said: text.Of("body_missing", nil)}
	}
	return data, nil
}
