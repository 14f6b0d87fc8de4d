package api

import (
	"context"
	"log/slog"

	"go.opentelemetry.io/otel/trace"
)

// traceLog adds to lines the trace they belong to, also when it is only the
// client that traces.
type traceLog struct{ slog.Handler }

// Handle implements slog.Handler.
func (h traceLog) Handle(ctx context.Context, line slog.Record) error {
	if span := trace.SpanContextFromContext(ctx); span.IsValid() {
		line.AddAttrs(slog.String("trace_id", span.TraceID().String()))
	}
	return h.Handler.Handle(ctx, line)
}

// WithAttrs implements slog.Handler.
func (h traceLog) WithAttrs(attributes []slog.Attr) slog.Handler {
	return traceLog{h.Handler.WithAttrs(attributes)}
}

// WithGroup implements slog.Handler.
func (h traceLog) WithGroup(name string) slog.Handler { return traceLog{h.Handler.WithGroup(name)} }
