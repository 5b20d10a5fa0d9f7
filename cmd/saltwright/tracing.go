package main

import (
	"context"
	"log/slog"
	"net/http"
	"time"

	"go.opentelemetry.io/otel"
	"go.opentelemetry.io/otel/attribute"
	"go.opentelemetry.io/otel/exporters/otlp/otlptrace/otlptracehttp"
	"go.opentelemetry.io/otel/propagation"
	"go.opentelemetry.io/otel/sdk/resource"
	sdk "go.opentelemetry.io/otel/sdk/trace"
	"go.opentelemetry.io/otel/trace"
)

// traced gives every request a span when the usual OTEL_ variables ask for that; the transport adds its method, route
// and status. Of the caller there is nothing in it unless the operator wants that: no address, no user agent, and no
// trace of the caller's own, which could name anything and joins what one person did elsewhere. What is pending is
// sent by the function returned.
func traced(ctx context.Context, h http.Handler, s settings, log *slog.Logger) (http.Handler, func(), error) {
	if !s.tracing {
		return h, func() {}, nil
	}
	exporter, err := otlptracehttp.New(ctx)
	if err != nil {
		return nil, nil, err
	}
	described, err := resource.New(ctx, resource.WithFromEnv(), resource.WithTelemetrySDK())
	if err != nil {
		return nil, nil, err
	}
	otel.SetErrorHandler(otel.ErrorHandlerFunc(func(err error) {
		log.Warn("traces not sent", slog.String("cause", err.Error()))
	}))
	provider := sdk.NewTracerProvider(sdk.WithBatcher(exporter), sdk.WithResource(described))
	stop := func() {
		deadline, cancel := context.WithTimeout(context.Background(), 3*time.Second)
		defer cancel()
		if err := provider.Shutdown(deadline); err != nil {
			otel.Handle(err)
		}
	}
	tracer := provider.Tracer("saltwright")
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		ctx := r.Context()
		options := []trace.SpanStartOption{trace.WithSpanKind(trace.SpanKindServer)}
		if s.traceCallers {
			ctx = propagation.TraceContext{}.Extract(ctx, propagation.HeaderCarrier(r.Header))
			options = append(options, trace.WithAttributes(attribute.String("network.peer.address", r.RemoteAddr),
				attribute.String("user_agent.original", r.UserAgent())))
		}
		ctx, span := tracer.Start(ctx, "request", options...)
		defer span.End()
		h.ServeHTTP(w, r.WithContext(ctx))
	}), stop, nil
}
