// Package transport is HTTP and nothing else: it reads a request, has internal/answer answer it, and writes the answer.
// Paths, methods, types, bounds and defaults stand in api/openapi.yaml only; routes and checks follow from it.
package transport

import (
	"context"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/url"
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"
	"github.com/labstack/echo/v4/middleware"
	"go.opentelemetry.io/otel/trace"

	"saltwright/api"
	"saltwright/internal/limit"
	"saltwright/internal/webdocs"
)

// Config is what a server can be told. The zero value serves everybody without limits.
type Config struct {
	PublicURL      string         // beginning of the problem types' addresses, without a final slash; empty: root-relative
	Logger         *slog.Logger   // nil: nothing is logged
	Quotas         []limit.Policy // of a client without a key; none: no limits
	Keys           *Keys          // clients with quotas of their own; nil: every key is unknown
	LimitStore     limit.Limiter  // shared by replicas; nil: each counts for itself
	TrustedProxies []*net.IPNet   // whose X-Forwarded-For is believed; none: the peer is the client
	Budget         time.Duration  // that one request may take; 0: DefaultBudget
}

// DefaultBudget lies above what the largest plan takes and below the time to write an answer.
const DefaultBudget = 50 * time.Second

// Server answers HTTP requests.
type Server struct {
	echo      *echo.Echo
	contract  *contract
	table     map[string]registration
	served    map[string]bool // routes that are no operations
	log       *slog.Logger
	publicURL string
	metrics   *metrics
	quotas    []limit.Policy
	keys      *Keys
	limiter   limit.Limiter
	heavy     counter
	budget    time.Duration
	ready     readiness
	site      http.Handler // pages for people
}

// New builds the server from the contract. It fails when an operation has no
// handler or a handler no operation, and when nobody could pay for an operation.
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
	s := &Server{
		echo: echo.New(), contract: c, table: table, served: map[string]bool{}, log: cfg.Logger,
		publicURL: strings.TrimRight(cfg.PublicURL, "/"), metrics: newMetrics(),
		quotas: cfg.Quotas, keys: cfg.Keys, heavy: newCounter(), budget: cfg.Budget,
	}
	if s.log == nil {
		s.log = slog.New(slog.DiscardHandler)
	}
	if s.budget == 0 {
		s.budget = DefaultBudget
	}
	if err := limit.Check(c.costliest(), s.quotas); err != nil {
		return nil, fmt.Errorf("the costliest operation: %w", err)
	}
	s.limit(cfg.LimitStore)
	if err := s.route(cfg.TrustedProxies); err != nil {
		return nil, err
	}
	return s, nil
}

// limit counts in this process, or in a shared store for as long as that answers.
func (s *Server) limit(store limit.Limiter) {
	s.limiter = limit.NewMemory(time.Now)
	if store == nil {
		return
	}
	s.limiter = limit.NewFallback(store, s.limiter, time.Now, func(err error) {
		s.metrics.storeErr.Inc()
		s.log.LogAttrs(context.Background(), slog.LevelWarn, "limit store failed; counting here", slog.String("cause", err.Error()))
	})
}

func (s *Server) route(proxies []*net.IPNet) error {
	e, c := s.echo, s.contract
	for id := range s.table {
		if c.operations[id] == nil {
			return fmt.Errorf("handler %s has no operation in the contract", id)
		}
	}
	e.HideBanner, e.HidePort = true, true
	e.HTTPErrorHandler = s.writeProblem
	e.IPExtractor = extractor(proxies)
	e.Use(s.observe, s.identify, secure, cors, s.accessLog(), s.recover())
	for id, o := range c.operations {
		r, ok := s.table[id]
		if !ok {
			return fmt.Errorf("operation %s of the contract has no handler", id)
		}
		paged := id == "getIndex" || id == "getProblem"
		serve := func(ctx echo.Context) error {
			if paged {
				ctx.Response().Header().Add(echo.HeaderVary, echo.HeaderAccept)
				if preferred(ctx.Request().Header.Get(echo.HeaderAccept), asJSON, asHTML) == asHTML {
					s.site.ServeHTTP(ctx.Response(), ctx.Request())
					return nil
				}
			}
			err := s.attend(ctx, o, r.serve)
			s.count(ctx, o, err)
			return err
		}
		e.Add(o.method, o.echoPath, serve)
		if o.method == http.MethodGet {
			e.Add(http.MethodHead, o.echoPath, serve)
		}
	}
	site, err := webdocs.New(s)
	if err != nil {
		return err
	}
	s.site = site
	for _, path := range []string{"/docs/*", "/embed/*"} {
		s.served[path] = true
		e.Any(path, echo.WrapHandler(site))
	}
	s.serve("/docs", func(c echo.Context) error { return c.Redirect(http.StatusMovedPermanently, "/docs/") })
	s.serve("/openapi.json", fixed(contractMedia, c.json))
	s.serve("/openapi.yaml", fixed("application/vnd.oai.openapi;version=3.0", api.OpenAPI))
	s.serve("/.well-known/api-catalog", s.apiCatalog)
	s.serve("/.well-known/security.txt", s.securityText)
	s.serve("/healthz", echo.WrapHandler(http.HandlerFunc(s.healthz)))
	s.serve("/readyz", echo.WrapHandler(http.HandlerFunc(s.readyz)))
	return nil
}

// serve adds what is read at an address outside the contract.
func (s *Server) serve(path string, h echo.HandlerFunc) {
	s.served[path] = true
	s.echo.Match([]string{http.MethodGet, http.MethodHead}, path, h)
}

// extractor finds the client's address: the peer's, or, behind proxies that are
// trusted by name, the last one in X-Forwarded-For that is not a proxy.
func extractor(proxies []*net.IPNet) echo.IPExtractor {
	if len(proxies) == 0 {
		return echo.ExtractIPDirect()
	}
	trust := []echo.TrustOption{echo.TrustLoopback(false), echo.TrustLinkLocal(false), echo.TrustPrivateNet(false)}
	for _, p := range proxies {
		trust = append(trust, echo.TrustIPRange(p))
	}
	return echo.ExtractIPFromXFFHeader(trust...)
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

func fixed(mediaType string, data []byte) echo.HandlerFunc {
	return func(c echo.Context) error { return send(c, http.StatusOK, mediaType, data) }
}

// secure sets what browsers should know of every answer: it is data, to be taken
// as what it says it is, and may run nothing.
func secure(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		h := c.Response().Header()
		h.Set(echo.HeaderXContentTypeOptions, "nosniff")
		h.Set(echo.HeaderReferrerPolicy, "no-referrer")
		h.Set(echo.HeaderContentSecurityPolicy, "default-src 'none'; frame-ancestors 'none'")
		h.Set("Cross-Origin-Resource-Policy", "cross-origin")
		return next(c)
	}
}

const requestIDKey = "request_id"

func requestID(c echo.Context) string {
	id, _ := c.Get(requestIDKey).(string)
	return id
}

// identify gives each request a random UUID (version 4).
func (s *Server) identify(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		id := uuid.NewString()
		c.Set(requestIDKey, id)
		c.Response().Header().Set(echo.HeaderXRequestID, id)
		return next(c)
	}
}

// exposed are the fields of an answer that pages of other origins may read.
const exposed = "RateLimit, RateLimit-Policy, Retry-After, ETag, Link, Content-Location, Allow, X-Request-Id"

// cors opens every answer, problems too, to pages of any origin and answers preflights.
func cors(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		h := c.Response().Header()
		h.Set(echo.HeaderAccessControlAllowOrigin, "*")
		h.Set(echo.HeaderAccessControlExposeHeaders, exposed)
		if c.Request().Method != http.MethodOptions {
			return next(c)
		}
		h.Set(echo.HeaderAccessControlAllowMethods, "GET, HEAD, POST, OPTIONS")
		h.Set(echo.HeaderAccessControlAllowHeaders, "Content-Type, If-None-Match, "+apiKeyHeader)
		h.Set(echo.HeaderAccessControlMaxAge, "7200")
		return c.NoContent(http.StatusNoContent)
	}
}

// recover turns a panic into an error, which becomes a problem without its cause; the stack goes to the log.
func (s *Server) recover() echo.MiddlewareFunc {
	return middleware.RecoverWithConfig(middleware.RecoverConfig{
		DisableErrorHandler: true, DisableStackAll: true,
		LogErrorFunc: func(c echo.Context, err error, stack []byte) error {
			s.metrics.panics.Inc()
			s.log.LogAttrs(c.Request().Context(), slog.LevelError, "panic", slog.String("request_id", requestID(c)), slog.String("stack", strings.TrimRight(string(stack), "\x00")))
			return err
		},
	})
}

func classOf(c echo.Context) string {
	if v := visitorOf(c); v != nil {
		return v.class
	}
	return ""
}

func problemOf(c echo.Context) string {
	code, _ := c.Get(problemKey).(string)
	return code
}

// accessLog writes one line a request: route, not path; no body, no address.
func (s *Server) accessLog() echo.MiddlewareFunc {
	return middleware.RequestLoggerWithConfig(middleware.RequestLoggerConfig{
		LogStatus: true, LogLatency: true, LogMethod: true, LogRoutePath: true, LogResponseSize: true, HandleError: true,
		LogValuesFunc: func(c echo.Context, v middleware.RequestLoggerValues) error {
			traceID := ""
			if span := trace.SpanContextFromContext(c.Request().Context()); span.IsValid() {
				traceID = span.TraceID().String()
			}
			s.log.LogAttrs(c.Request().Context(), slog.LevelInfo, "request", slog.String("trace_id", traceID),
				slog.String("request_id", requestID(c)), slog.String("method", v.Method), slog.String("route", v.RoutePath),
				slog.Int("status", v.Status), slog.String("client", classOf(c)), slog.String("problem", problemOf(c)), slog.Duration("took", v.Latency), slog.Int64("bytes", v.ResponseSize))
			return nil
		},
	})
}
