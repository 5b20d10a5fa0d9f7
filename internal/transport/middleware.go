package transport

import (
	"log/slog"
	"net/http"
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"
	"github.com/labstack/echo/v4/middleware"
	"github.com/prometheus/client_golang/prometheus"
	"go.opentelemetry.io/otel/trace"
)

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
func identify(next echo.HandlerFunc) echo.HandlerFunc {
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
