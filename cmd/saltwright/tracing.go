package main

import (
	"context"
	"net/http"
	"time"

	"go.opentelemetry.io/contrib/instrumentation/net/http/otelhttp"
	"go.opentelemetry.io/otel"
	"go.opentelemetry.io/otel/exporters/otlp/otlptrace/otlptracehttp"
	"go.opentelemetry.io/otel/propagation"
	"go.opentelemetry.io/otel/sdk/resource"
	"go.opentelemetry.io/otel/sdk/trace"
)

// traced wraps the service in OpenTelemetry's HTTP instrumentation when that is
// asked for by the usual OTEL_ variables. What is pending is sent by the function returned.
func traced(ctx context.Context, h http.Handler, wanted bool) (http.Handler, func(), error) {
	if !wanted {
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
	provider := trace.NewTracerProvider(trace.WithBatcher(exporter), trace.WithResource(described))
	stop := func() {
		deadline, cancel := context.WithTimeout(context.Background(), 3*time.Second)
		defer cancel()
		if err := provider.Shutdown(deadline); err != nil {
			otel.Handle(err)
		}
	}
	return otelhttp.NewHandler(h, "saltwright", otelhttp.WithTracerProvider(provider),
		otelhttp.WithPropagators(propagation.TraceContext{})), stop, nil
}
