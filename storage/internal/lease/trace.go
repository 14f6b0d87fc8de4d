package lease

import (
	"context"

	"go.opentelemetry.io/otel/propagation"
)

// Traceparent is the trace of a context, as W3C Trace Context has it; empty
// outside of one. What is done later is linked by it to what asked for it.
func Traceparent(ctx context.Context) string {
	of := propagation.MapCarrier{}
	propagation.TraceContext{}.Inject(ctx, of)
	return of["traceparent"]
}
