package api

import (
	"context"
	"net/http"
	"time"

	"foldwright/api/jobs"
	"foldwright/storage"
	"foldwright/storage/access"

	"go.opentelemetry.io/otel/attribute"
	"go.opentelemetry.io/otel/codes"
	"go.opentelemetry.io/otel/propagation"
	semconv "go.opentelemetry.io/otel/semconv/v1.43.0"
	"go.opentelemetry.io/otel/trace"
)

// Traces are by the OpenTelemetry API; what is done with them is the business
// of whoever makes the server. A request, an attempt at a job or one to
// deliver an event has a span; the stages of the pipeline, the wait in the queue
// and the calls of the store have spans below it. Nothing that a client may have
// written by mistake into the wrong place is told: no query, no name, no text of
// an error.

// tracerName is the scope of our spans.
const tracerName = "foldwright/api"

// Attributes of our own.
const (
	attributeRequest   = attribute.Key("foldwright.request_id")
	attributeProblem   = attribute.Key("foldwright.problem")
	attributeWorkspace = attribute.Key("foldwright.workspace")
	attributeKey       = attribute.Key("foldwright.key")
	attributeJob       = attribute.Key("foldwright.job")
	attributeOperation = attribute.Key("foldwright.operation")
	attributeAttempt   = attribute.Key("foldwright.attempt")
	attributeHook      = attribute.Key("foldwright.hook")
	attributeEvent     = attribute.Key("foldwright.event")
	attributeOutcome   = attribute.Key("foldwright.outcome")
)

// continued is the context of a request, with the trace its client began
// (W3C Trace Context). A state that holds a secret is not passed on.
func continued(r *http.Request) context.Context {
	const parent, state = "Traceparent", "Tracestate"
	if r.Header.Get(parent) == "" {
		return r.Context()
	}
	carrier := propagation.MapCarrier{"traceparent": r.Header.Get(parent)}
	if sent := r.Header.Get(state); access.Redact(sent) == sent {
		carrier["tracestate"] = sent
	}
	return propagation.TraceContext{}.Extract(r.Context(), carrier)
}

// traced begins the span of a request by the semantic conventions for HTTP
// servers. Monitors ask so often that theirs would be most of all spans, and
// have none.
func (s *Server) traced(ctx context.Context, r *http.Request, x *exchange) (context.Context, trace.Span) {
	if s.tracer == nil || x.operation != nil && x.operation.service {
		return ctx, trace.SpanFromContext(ctx)
	}
	method := knownMethod(r.Method)
	name := method
	if method == otherMethod {
		name, method = "HTTP", "_OTHER"
	}
	scheme := "http"
	if r.TLS != nil {
		scheme = "https"
	}
	attributes := []attribute.KeyValue{
		semconv.HTTPRequestMethodKey.String(method),
		semconv.URLScheme(scheme),
		semconv.URLPath(access.Redact(r.URL.Path)),
	}
	if x.operation != nil {
		name += " " + x.route()
		attributes = append(attributes, semconv.HTTPRoute(x.route()))
	}
	return s.tracer.Start(ctx, name, trace.WithSpanKind(trace.SpanKindServer), trace.WithAttributes(attributes...))
}

// endRequest ends the span of a request. By the conventions only what the
// service is to blame for is an error.
func endRequest(span trace.Span, x *exchange, status int, size int64) {
	if !span.IsRecording() {
		return
	}
	span.SetAttributes(attributeRequest.String(x.requestID), semconv.HTTPResponseBodySize(int(size)))
	if p := x.principal; p != nil && p.key != nil {
		span.SetAttributes(attributeWorkspace.String(p.workspace), attributeKey.String(p.key.ID))
	}
	if x.problem != nil {
		span.SetAttributes(attributeProblem.String(x.problem.name))
	}
	switch {
	case status == statusClientGone:
		span.SetAttributes(semconv.ErrorTypeKey.String("client_gone"))
	case status >= http.StatusInternalServerError && x.problem != nil:
		span.SetStatus(codes.Error, x.problem.name)
		span.SetAttributes(semconv.HTTPResponseStatusCode(status), semconv.ErrorTypeKey.String(x.problem.name))
	default:
		span.SetAttributes(semconv.HTTPResponseStatusCode(status))
	}
	span.End()
}

// tracedJob begins the span of an attempt at a job: a trace of its own, with a
// link to that of the request that asked for it.
func (s *Server) tracedJob(ctx context.Context, j *storage.JobClaim) (context.Context, trace.Span) {
	if s.tracer == nil {
		return ctx, trace.SpanFromContext(ctx)
	}
	return s.tracer.Start(ctx, "job "+j.Operation, trace.WithNewRoot(), linkedTo(j.Trace), trace.WithSpanKind(trace.SpanKindConsumer), trace.WithAttributes(
		attributeJob.String(j.ID), attributeOperation.String(j.Operation), attributeAttempt.Int(j.Attempts), attributeWorkspace.String(j.Workspace)))
}

func endJob(span trace.Span, outcome jobs.Outcome) {
	span.SetAttributes(attributeOutcome.String(string(outcome)))
	if outcome == jobs.Failed {
		span.SetStatus(codes.Error, string(outcome))
	}
	span.End()
}

// tracedDelivery begins the span of an attempt to deliver an event: a trace of
// its own, since it may come days later, with a link to the one in which the
// event happened. The address is not told, which may hold a secret.
func (s *Server) tracedDelivery(ctx context.Context, c *storage.DeliveryClaim) (context.Context, trace.Span) {
	if s.tracer == nil {
		return ctx, trace.SpanFromContext(ctx)
	}
	return s.tracer.Start(ctx, "deliver "+string(c.Event.Type), trace.WithNewRoot(), linkedTo(c.Event.About.Trace), trace.WithSpanKind(trace.SpanKindProducer), trace.WithAttributes(
		attributeHook.String(c.Hook.ID), attributeEvent.String(c.Event.ID), attributeAttempt.Int(c.Attempts), attributeWorkspace.String(c.Hook.Workspace)))
}

// linkedTo links a span to one that was kept as its traceparent, if there is one.
func linkedTo(parent string) trace.SpanStartOption {
	from := propagation.TraceContext{}.Extract(context.Background(), propagation.MapCarrier{"traceparent": parent})
	if link := trace.LinkFromContext(from); link.SpanContext.IsValid() {
		return trace.WithLinks(link)
	}
	return trace.WithLinks()
}

// outcomeNotKept is that of an attempt of which nothing is kept: the end of the
// service cut it short, or its claim was lost.
const outcomeNotKept = "not_kept"

func endDelivery(span trace.Span, o *storage.DeliveryOutcome) {
	outcome := outcomeNotKept
	if o != nil {
		outcome = attemptOutcomes[o.State]
		if o.Status != 0 {
			span.SetAttributes(semconv.HTTPResponseStatusCode(o.Status))
		}
		if o.State != storage.DeliveryDelivered {
			span.SetStatus(codes.Error, outcome)
		}
	}
	span.SetAttributes(attributeOutcome.String(outcome))
	span.End()
}

// tracePart tells of a part of a request or a job that is over.
func tracePart(ctx context.Context, name string, start time.Time, took time.Duration) {
	parent := trace.SpanFromContext(ctx)
	if !parent.IsRecording() {
		return
	}
	_, span := parent.TracerProvider().Tracer(tracerName).Start(ctx, name, trace.WithTimestamp(start))
	span.End(trace.WithTimestamp(start.Add(took)))
}

// watchStore times the calls of the store, and traces those of a request or of
// a job: workers ask for jobs all the time.
func (s *Server) watchStore(ctx context.Context, call string) (context.Context, func(error)) {
	start := time.Now()
	parent := trace.SpanFromContext(ctx)
	if !parent.IsRecording() {
		return ctx, func(err error) { s.metrics.storeCall(call, time.Since(start), err) }
	}
	ctx, span := parent.TracerProvider().Tracer(tracerName).Start(ctx, "storage "+call, trace.WithSpanKind(trace.SpanKindClient),
		trace.WithAttributes(semconv.DBSystemNameKey.String(s.storeName), semconv.DBOperationName(call)))
	return ctx, func(err error) {
		s.metrics.storeCall(call, time.Since(start), err)
		if reason := storeFailure(err); reason != "" {
			span.SetStatus(codes.Error, reason)
			span.SetAttributes(semconv.ErrorTypeKey.String(reason))
		}
		span.End()
	}
}

// databaseSystem is the name of a store's database in the semantic conventions.
func databaseSystem(store storage.Database) string {
	named, ok := store.(interface{ Name() string })
	switch {
	case !ok:
		return "other_sql"
	case named.Name() == "postgres":
		return semconv.DBSystemNamePostgreSQL.Value.AsString()
	default:
		return named.Name()
	}
}
