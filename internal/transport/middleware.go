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
		h.Set(echo.HeaderAccessControlAllowHeaders, strings.Join([]string{
			"Content-Type", "If-None-Match", apiKeyHeader, "Mcp-Protocol-Version", "Mcp-Method", "Mcp-Name",
		}, ", "))
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
			log.LogAttrs(
				ctx,
				slog.LevelInfo,
				"request",
				slog.String("trace_id", traceID),
				slog.String(
					"request_id",
					requestID(c),
				),
				slog.String("method", c.Request().Method),
				slog.String("route", c.Path()),
				slog.Int(
					"status",
					c.Response().Status,
				),
				slog.String("client", classOf(c)),
				slog.String("who", whoOf(c)),
				slog.String("problem", problemOf(c)),
				slog.Float64("took_s", time.Since(start).Seconds()),
				slog.Int64("bytes", c.Response().Size),
			)
			return nil
		}
	}
}

// count notes in the metrics how an operation ended.
func count(m *metrics, c echo.Context, id string, err error) {
	class := classOf(c)
	if class == "" {
		class = "anonymous"
	}
	outcome := "answered"
	switch {
	case err != nil:
		outcome = "refused"
		if abandoned(err) {
			outcome = "abandoned"
		} else if asRequestError(err) == nil {
			outcome = "failed"
		}
	case c.Response().Status == 304:
		outcome = "not_modified"
	}
	m.answers.WithLabelValues(id, class, outcome).Inc()
}
