// Package httpapi is the transport: it decodes, calls internal/calc and
// encodes. Paths, methods, types, bounds and defaults stand in api/openapi.yaml
// only; this package derives its routes and checks from that document.
package httpapi

import (
	"crypto/rand"
	"fmt"
	"log/slog"
	"net/http"
	"net/url"
	"strings"

	"github.com/labstack/echo/v4"
	"github.com/labstack/echo/v4/middleware"

	"saltwright/api"
)

// Config is what a server can be told.
type Config struct {
	PublicURL string       // beginning of the problem types' addresses, without a final slash; empty: root-relative
	Logger    *slog.Logger // nil: nothing is logged
}

// Server answers HTTP requests.
type Server struct {
	echo      *echo.Echo
	contract  *contract
	log       *slog.Logger
	publicURL string
}

// New builds the server from the contract. It fails when an operation has no
// handler or a handler no operation.
func New(cfg Config) (*Server, error) {
	return build(cfg, operations())
}

func build(cfg Config, table map[string]registration) (*Server, error) {
	if err := checkPublicURL(cfg.PublicURL); err != nil {
		return nil, err
	}
	c, err := loadContract()
	if err != nil {
		return nil, err
	}
	s := &Server{echo: echo.New(), contract: c, log: cfg.Logger, publicURL: strings.TrimRight(cfg.PublicURL, "/")}
	if s.log == nil {
		s.log = slog.New(slog.DiscardHandler)
	}
	for id := range table {
		if c.operations[id] == nil {
			return nil, fmt.Errorf("handler %s has no operation in the contract", id)
		}
	}
	e := s.echo
	e.HideBanner, e.HidePort = true, true
	e.HTTPErrorHandler = s.writeProblem
	e.IPExtractor = echo.ExtractIPDirect()
	e.Use(s.identify, cors, s.accessLog(), s.recover())
	for id, o := range c.operations {
		r, ok := table[id]
		if !ok {
			return nil, fmt.Errorf("operation %s of the contract has no handler", id)
		}
		serve := func(ctx echo.Context) error { return r.serve(ctx, o) }
		e.Add(o.method, o.echoPath, serve)
		if o.method == http.MethodGet {
			e.Add(http.MethodHead, o.echoPath, serve)
		}
	}
	reading := []string{http.MethodGet, http.MethodHead}
	e.Match(reading, "/openapi.json", document("application/vnd.oai.openapi+json;version=3.0", c.json))
	e.Match(reading, "/openapi.yaml", document("application/vnd.oai.openapi;version=3.0", api.OpenAPI))
	return s, nil
}

func checkPublicURL(text string) error {
	if text == "" {
		return nil
	}
	u, err := url.Parse(text)
	if err != nil || (u.Scheme != "http" && u.Scheme != "https") || u.Host == "" || u.RawQuery != "" || u.Fragment != "" {
		return fmt.Errorf("public URL %q: want the beginning of an address, such as https://host/path", text)
	}
	return nil
}

// ServeHTTP implements http.Handler.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.echo.ServeHTTP(w, r) }

func document(mediaType string, data []byte) echo.HandlerFunc {
	return func(c echo.Context) error { return c.Blob(http.StatusOK, mediaType, data) }
}

const requestIDKey = "request_id"

func requestID(c echo.Context) string {
	id, _ := c.Get(requestIDKey).(string)
	return id
}

// identify gives each request a random UUID (version 4).
func (s *Server) identify(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		var b [16]byte
		_, _ = rand.Read(b[:]) // never fails since Go 1.24
		b[6], b[8] = b[6]&0x0f|0x40, b[8]&0x3f|0x80
		id := fmt.Sprintf("%x-%x-%x-%x-%x", b[0:4], b[4:6], b[6:8], b[8:10], b[10:16])
		c.Set(requestIDKey, id)
		c.Response().Header().Set(echo.HeaderXRequestID, id)
		return next(c)
	}
}

// cors opens every answer, problems too, to pages of any origin and answers preflights.
func cors(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		h := c.Response().Header()
		h.Set(echo.HeaderAccessControlAllowOrigin, "*")
		h.Set(echo.HeaderAccessControlExposeHeaders, "X-Request-Id, Allow, Link")
		if c.Request().Method != http.MethodOptions {
			return next(c)
		}
		h.Set(echo.HeaderAccessControlAllowMethods, "GET, HEAD, POST, OPTIONS")
		h.Set(echo.HeaderAccessControlAllowHeaders, "Content-Type")
		h.Set(echo.HeaderAccessControlMaxAge, "7200")
		return c.NoContent(http.StatusNoContent)
	}
}

// recover turns a panic into an error, which becomes a problem without its cause; the stack goes to the log.
func (s *Server) recover() echo.MiddlewareFunc {
	return middleware.RecoverWithConfig(middleware.RecoverConfig{
		DisableErrorHandler: true, DisableStackAll: true,
		LogErrorFunc: func(c echo.Context, err error, stack []byte) error {
			s.log.LogAttrs(c.Request().Context(), slog.LevelError, "panic", slog.String("request_id", requestID(c)), slog.String("stack", strings.TrimRight(string(stack), "\x00")))
			return err
		},
	})
}

// accessLog writes one line a request: route, not path; no body, no address.
func (s *Server) accessLog() echo.MiddlewareFunc {
	return middleware.RequestLoggerWithConfig(middleware.RequestLoggerConfig{
		LogStatus: true, LogLatency: true, LogMethod: true, LogRoutePath: true, LogResponseSize: true, HandleError: true,
		LogValuesFunc: func(c echo.Context, v middleware.RequestLoggerValues) error {
			s.log.LogAttrs(c.Request().Context(), slog.LevelInfo, "request",
				slog.String("request_id", requestID(c)), slog.String("method", v.Method), slog.String("route", v.RoutePath),
				slog.Int("status", v.Status), slog.Duration("took", v.Latency), slog.Int64("bytes", v.ResponseSize))
			return nil
		},
	})
}
