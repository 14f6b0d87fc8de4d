package main

import (
	"context"
	"fmt"
	"log/slog"
	"os"
	"strings"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"go.opentelemetry.io/otel"
	"go.opentelemetry.io/otel/exporters/otlp/otlptrace/otlptracehttp"
	"go.opentelemetry.io/otel/sdk/resource"
	sdktrace "go.opentelemetry.io/otel/sdk/trace"
	semconv "go.opentelemetry.io/otel/semconv/v1.43.0"
)

// tracing sends spans to a collector, by the environment variables that
// OpenTelemetry specifies for every program. Those that say where to, how many
// and as whom are read by its library.
type tracing struct {
	*sdktrace.TracerProvider
	spans *prometheus.CounterVec
}

// tracingWanted tells whether the environment asks for traces: by naming the
// exporter, or a place to send them to.
func tracingWanted() (bool, error) {
	if strings.EqualFold(os.Getenv("OTEL_SDK_DISABLED"), "true") {
		return false, nil
	}
	switch name := os.Getenv("OTEL_TRACES_EXPORTER"); name {
	case "none":
		return false, nil
	case "otlp":
	case "":
		if os.Getenv("OTEL_EXPORTER_OTLP_ENDPOINT") == "" && os.Getenv("OTEL_EXPORTER_OTLP_TRACES_ENDPOINT") == "" {
			return false, nil
		}
	default:
		return false, fmt.Errorf("OTEL_TRACES_EXPORTER: %q is not known; use otlp or none", name)
	}
	for _, name := range []string{"OTEL_EXPORTER_OTLP_TRACES_PROTOCOL", "OTEL_EXPORTER_OTLP_PROTOCOL"} {
		if protocol := os.Getenv(name); protocol != "" && protocol != "http/protobuf" {
			return false, fmt.Errorf("%s: %q is not spoken; use http/protobuf, and the collector's port for that, usually 4318", name, protocol)
		}
	}
	return true, nil
}

// newTracing is nil when no traces are wanted.
func newTracing(ctx context.Context, log *slog.Logger) (*tracing, error) {
	if wanted, err := tracingWanted(); !wanted {
		return nil, err
	}
	exporter, err := otlptracehttp.New(ctx)
	if err != nil {
		return nil, fmt.Errorf("traces: %w", err)
	}
	named, err := resource.New(ctx, resource.WithAttributes(semconv.ServiceName("foldwright"), semconv.ServiceVersion(release())),
		resource.WithTelemetrySDK(), resource.WithFromEnv())
	if err != nil {
		return nil, fmt.Errorf("OTEL_RESOURCE_ATTRIBUTES: %w", err)
	}
	// What the library has to say, such as that nobody takes the spans.
	otel.SetErrorHandler(otel.ErrorHandlerFunc(func(err error) { log.Warn("traces", "error", err) }))
	t := &tracing{spans: prometheus.NewCounterVec(prometheus.CounterOpts{
		Name: "foldwright_trace_spans_total",
		Help: "Spans handed to the collector, by whether it took them.",
	}, []string{"outcome"})}
	for _, outcome := range []string{"exported", "failed"} {
		t.spans.WithLabelValues(outcome)
	}
	t.TracerProvider = sdktrace.NewTracerProvider(sdktrace.WithResource(named), sdktrace.WithBatcher(countedExporter{exporter, t.spans}))
	return t, nil
}

// lastTraces is how long a collector has to take what is left.
const lastTraces = 5 * time.Second

// close sends what is left, if somebody takes it soon.
func (t *tracing) close(ctx context.Context, log *slog.Logger) {
	limited, cancel := context.WithTimeout(context.WithoutCancel(ctx), lastTraces)
	defer cancel()
	if err := t.Shutdown(limited); err != nil {
		log.Warn("traces", "error", err)
	}
}

// countedExporter counts what its exporter is given.
type countedExporter struct {
	sdktrace.SpanExporter
	spans *prometheus.CounterVec
}

// ExportSpans implements sdktrace.SpanExporter.
func (e countedExporter) ExportSpans(ctx context.Context, spans []sdktrace.ReadOnlySpan) error {
	err := e.SpanExporter.ExportSpans(ctx, spans)
	outcome := "exported"
	if err != nil {
		outcome = "failed"
	}
	e.spans.WithLabelValues(outcome).Add(float64(len(spans)))
	return err
}
