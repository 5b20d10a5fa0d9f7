package transport

import (
	"log/slog"
	"maps"
	"net/http"
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"
	"github.com/labstack/echo/v4/middleware"
	"github.com/prometheus/client_golang/prometheus"
	"go.opentelemetry.io/otel/trace"
)

// exposed are the fields of an answer that pages of other origins may read.
const exposed = "RateLimit, RateLimit-Policy, Retry-After, ETag, Link, Content-Location, Allow, X-Request-Id"

// everyAnswer has the fields of every answer, problems too. To browsers it is data, to be taken as what it says it is,
// that may run nothing; and it is open to pages of any origin. Answers share these lists, so nobody may change them.
var everyAnswer = map[string][]string{
	echo.HeaderXContentTypeOptions:   {"nosniff"},
	echo.HeaderReferrerPolicy:        {"no-referrer"},
	echo.HeaderContentSecurityPolicy: {"default-src 'none'; frame-ancestors 'none'"},
	"Cross-Origin-Resource-Policy":   {"cross-origin"},

	echo.HeaderAccessControlAllowOrigin:   {"*"},
	echo.HeaderAccessControlExposeHeaders: {exposed},
}

// requestID returns the random UUID (version 4) of a request.
func requestID(c echo.Context) string { return c.Response().Header().Get(echo.HeaderXRequestID) }

// opened sets the fields of every answer and answers the preflights of browsers.
func opened(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		h := c.Response().Header()
		maps.Copy(h, everyAnswer)
		h.Set(echo.HeaderXRequestID, uuid.NewString())
		if c.Request().Method != http.MethodOptions {
			return next(c)
		}
		h.Set(echo.HeaderAccessControlAllowMethods, "GET, HEAD, POST, OPTIONS")
		h.Set(echo.HeaderAccessControlAllowHeaders, "Content-Type, If-None-Match, "+apiKeyHeader)
		h.Set(echo.HeaderAccessControlMaxAge, "7200")
		return c.NoContent(http.StatusNoContent)
	}
}

// caught turns a panic into an error, which becomes a problem without its cause; the stack goes to the log.
func caught(log *slog.Logger, panics prometheus.Counter) echo.MiddlewareFunc {
	return middleware.RecoverWithConfig(middleware.RecoverConfig{
		DisableErrorHandler: true, DisableStackAll: true,
		LogErrorFunc: func(c echo.Context, err error, stack []byte) error {
			panics.Inc()
			log.LogAttrs(c.Request().Context(), slog.LevelError, "panic",
				slog.String("request_id", requestID(c)), slog.String("stack", strings.TrimRight(string(stack), "\x00")))
			return err
		},
	})
}

// accessLog writes one line a request: route, not path; no body, no address.
func accessLog(log *slog.Logger) echo.MiddlewareFunc {
	return func(next echo.HandlerFunc) echo.HandlerFunc {
		return func(c echo.Context) error {
			ctx := c.Request().Context()
			if !log.Enabled(ctx, slog.LevelInfo) {
				return next(c)
			}
			start := time.Now()
			if err := next(c); err != nil {
				c.Error(err)
			}
			traceID := ""
			if span := trace.SpanContextFromContext(ctx); span.IsValid() {
				traceID = span.TraceID().String()
			}
			log.LogAttrs(ctx, slog.LevelInfo, "request", slog.String("trace_id", traceID),
				slog.String("request_id", requestID(c)), slog.String("method", c.Request().Method), slog.String("route", c.Path()),
				slog.Int("status", c.Response().Status), slog.String("client", classOf(c)), slog.String("problem", problemOf(c)),
				slog.Duration("took", time.Since(start)), slog.Int64("bytes", c.Response().Size))
			return nil
		}
	}
}
