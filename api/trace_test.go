package api

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	"foldwright/storage/access"

	"go.opentelemetry.io/otel/codes"
	sdktrace "go.opentelemetry.io/otel/sdk/trace"
	"go.opentelemetry.io/otel/sdk/trace/tracetest"
	"go.opentelemetry.io/otel/trace"
)

// recorder keeps spans in memory.
func recorder(t *testing.T) (*tracetest.InMemoryExporter, *sdktrace.TracerProvider) {
	t.Helper()
	kept := tracetest.NewInMemoryExporter()
	provider := sdktrace.NewTracerProvider(sdktrace.WithSyncer(kept))
	t.Cleanup(func() { _ = provider.Shutdown(t.Context()) })
	return kept, provider
}

func spanNamed(t *testing.T, spans tracetest.SpanStubs, name string) tracetest.SpanStub {
	t.Helper()
	for i := range spans {
		if spans[i].Name == name {
			return spans[i]
		}
	}
	t.Fatalf("no span %q among %v", name, spanNames(spans))
	return tracetest.SpanStub{}
}

func spanNames(spans tracetest.SpanStubs) []string {
	names := []string{}
	for i := range spans {
		names = append(names, spans[i].Name)
	}
	return names
}

func attributesOf(span tracetest.SpanStub) map[string]string {
	all := map[string]string{}
	for _, a := range span.Attributes {
		all[string(a.Key)] = a.Value.String()
	}
	return all
}

// The trace of a client goes on through the request, its wait, its stages and
// the calls of the store. The header is the example of W3C Trace Context,
// section 3.2; the attributes are those that the OpenTelemetry semantic
// conventions 1.43 require of an HTTP server's span.
func TestARequestContinuesTheTraceOfItsClient(t *testing.T) {
	const traceID, parentID = "4bf92f3577b34da6a3ce929d0e0e4736", "00f067aa0ba902b7"
	kept, provider := recorder(t)
	var log bytes.Buffer
	s := serverWith(t, Config{Store: newStore(t), Traces: provider, Log: slog.New(slog.NewJSONHandler(&log, nil))})
	location := post(t, s, "/v1/designs", `{"title":"Gull","spread":{"page_width":130,"page_height":180}}`).Header().Get("Location")
	kept.Reset()
	log.Reset()
	r := httptest.NewRequest(http.MethodGet, location+"/versions/1/solve?openings=90", nil)
	r.Header.Set("Traceparent", "00-"+traceID+"-"+parentID+"-01")
	r.Header.Set("Tracestate", "congo=t61rcWkgMzE")
	if w := call(t, s, r); w.Code != http.StatusOK {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	spans := kept.GetSpans()
	root := spanNamed(t, spans, "GET /v1/designs/{id}/versions/{n}/solve")
	if root.SpanContext.TraceID().String() != traceID || root.Parent.SpanID().String() != parentID || !root.Parent.IsRemote() ||
		root.SpanKind != trace.SpanKindServer || root.Status.Code != codes.Unset || root.SpanContext.TraceState().Get("congo") != "t61rcWkgMzE" {
		t.Errorf("%+v", root)
	}
	got := attributesOf(root)
	for name, want := range map[string]string{
		"http.request.method": "GET", "http.route": "/v1/designs/{id}/versions/{n}/solve", "http.response.status_code": "200",
		"url.scheme": "http", "url.path": location + "/versions/1/solve",
	} {
		if got[name] != want {
			t.Errorf("%s is %q, want %q", name, got[name], want)
		}
	}
	for _, name := range []string{"queue", "storage Version", "stage decode", "stage compile", "stage pose", "stage encode"} {
		part := spanNamed(t, spans, name)
		if part.Parent.SpanID() != root.SpanContext.SpanID() || part.StartTime.Before(root.StartTime) || part.EndTime.After(root.EndTime) {
			t.Errorf("%s is not within its request: %+v", name, part)
		}
	}
	if system := attributesOf(spanNamed(t, spans, "storage Version"))["db.system.name"]; system != "sqlite" {
		t.Errorf("db.system.name is %q", system)
	}
	var line struct {
		TraceID   string `json:"trace_id"`
		RequestID string `json:"request_id"`
	}
	if err := json.Unmarshal(log.Bytes(), &line); err != nil || line.TraceID != traceID || line.RequestID != got[string(attributeRequest)] {
		t.Errorf("%v: logged %s", err, log.Bytes())
	}
}

// Without traces of our own the log still names the client's, and nothing of a
// header that is none.
func TestTheLogNamesTheTraceOfItsClient(t *testing.T) {
	for header, want := range map[string]string{
		"00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-00": `"trace_id":"4bf92f3577b34da6a3ce929d0e0e4736"`,
		"00-00000000000000000000000000000000-00f067aa0ba902b7-01": "",
		"anchor": "",
	} {
		var log bytes.Buffer
		s := serverOn(t, newStore(t), &log)
		r := httptest.NewRequest(http.MethodGet, "/v1/designs", nil)
		r.Header.Set("Traceparent", header)
		call(t, s, r)
		if !strings.Contains(log.String(), want) || want == "" && strings.Contains(log.String(), "trace_id") {
			t.Errorf("%s: logged %s", header, log.String())
		}
	}
}

// What the service is to blame for is an error, what a client is, is not; a
// route that is not there makes no names.
func TestSpansOfRefusals(t *testing.T) {
	kept, provider := recorder(t)
	s := serverWith(t, Config{Store: brokenStore{err: errors.New("disk of the harbour master")}, Traces: provider})
	for _, row := range []struct {
		method, path, name, problem string
		code                        codes.Code
	}{
		{http.MethodGet, "/v1/designs/x", "GET /v1/designs/{id}", "internal", codes.Error},
		{http.MethodGet, "/v1/examples/barge", "GET /v1/examples/{name}", "not-found", codes.Unset},
		{http.MethodGet, "/quay", "GET", "not-found", codes.Unset},
		{"MOOR", "/quay", "HTTP", "not-found", codes.Unset},
	} {
		kept.Reset()
		serve(s, row.method, row.path)
		span := spanNamed(t, kept.GetSpans(), row.name)
		got := attributesOf(span)
		if span.Status.Code != row.code || got[string(attributeProblem)] != row.problem || (got["error.type"] != "") != (row.code == codes.Error) {
			t.Errorf("%s %s: %v %v", row.method, row.path, span.Status, got)
		}
		if said := fmt.Sprint(kept.GetSpans()); strings.Contains(said, "harbour master") {
			t.Errorf("a span tells a cause: %s", said)
		}
	}
	kept.Reset()
	serve(s, http.MethodGet, "/v1/designs/x")
	if failed := spanNamed(t, kept.GetSpans(), "storage Get"); failed.Status.Code != codes.Error {
		t.Errorf("the store: %+v", failed)
	}
	kept.Reset()
	for _, path := range []string{"/healthz", "/readyz", "/metrics"} {
		serve(s, http.MethodGet, path)
	}
	if spans := kept.GetSpans(); len(spans) > 0 {
		t.Errorf("monitors are traced: %v", spanNames(spans))
	}
}

// An attempt at a job is a trace of its own, with the stages of its work, and
// leads to the request that asked for it.
func TestAJobIsTraced(t *testing.T) {
	kept, provider := recorder(t)
	s := serverWith(t, Config{Store: newStore(t), Traces: provider})
	atWork(t, s)
	j := submitJob(t, s, `{"operation":"tolerance","request":{"example":"lighthouse","samples":100,"examined":1}}`)
	get(t, s, "/v1/jobs/"+j.Id+"/events")
	var spans tracetest.SpanStubs
	eventually(t, "the attempt ends", func() bool {
		spans = kept.GetSpans()
		return slices.Contains(spanNames(spans), "job tolerance")
	})
	attempt := spanNamed(t, spans, "job tolerance")
	got := attributesOf(attempt)
	if got[string(attributeJob)] != j.Id || got[string(attributeAttempt)] != "1" || got[string(attributeOutcome)] != "done" {
		t.Errorf("%v", got)
	}
	asked := spanNamed(t, spans, "POST /v1/jobs")
	if len(attempt.Links) != 1 || attempt.Links[0].SpanContext.TraceID() != asked.SpanContext.TraceID() || attempt.Parent.IsValid() {
		t.Errorf("leads to %+v, below %v", attempt.Links, attempt.Parent)
	}
	children := []string{}
	for i := range spans {
		if spans[i].Parent.SpanID() == attempt.SpanContext.SpanID() {
			children = append(children, spans[i].Name)
		}
	}
	if !slices.Contains(children, "stage tolerance") || !slices.Contains(children, "storage EndJob") || slices.Contains(children, "storage ClaimJob") {
		t.Errorf("below it are %v", children)
	}
}

// An attempt to deliver an event leads to the request that made the event.
func TestADeliveryIsTraced(t *testing.T) {
	kept, provider := recorder(t)
	s := serverWith(t, Config{Store: newStore(t), Traces: provider})
	url, got := listen(t)
	hook := HookRecord{}
	decode(t, post(t, s, "/v1/hooks", `{"url":"`+url+`/hooks?key=gull","events":["design.created","job.ended"]}`), &hook)
	atWork(t, s)
	for name, by := range map[string]struct{ path, body, span string }{
		"deliver design.created": {"/v1/designs", `{"title":"Jetty","spread":{"page_width":120,"page_height":160}}`, "POST /v1/designs"},
		"deliver job.ended":      {"/v1/jobs", `{"operation":"tolerance","request":{"example":"lighthouse","samples":100,"examined":1}}`, "job tolerance"},
	} {
		kept.Reset()
		if w := post(t, s, by.path, by.body); w.Code >= 300 {
			t.Fatalf("%d %s", w.Code, w.Body)
		}
		sent := <-got
		eventually(t, "the attempt ends", func() bool {
			names := spanNames(kept.GetSpans())
			return slices.Contains(names, name) && slices.Contains(names, by.span)
		})
		attempt, cause := spanNamed(t, kept.GetSpans(), name), spanNamed(t, kept.GetSpans(), by.span)
		if len(attempt.Links) != 1 || attempt.Links[0].SpanContext.TraceID() != cause.SpanContext.TraceID() || attempt.Parent.IsValid() {
			t.Errorf("%s leads to %+v, below %v", name, attempt.Links, attempt.Parent)
		}
		told := attributesOf(attempt)
		if told[string(attributeHook)] != hook.Id || told[string(attributeEvent)] != sent.header.Get("webhook-id") || told[string(attributeOutcome)] != outcomeDelivered {
			t.Errorf("%s: %v", name, told)
		}
		if said := fmt.Sprint(kept.GetSpans()); strings.Contains(said, "key=gull") || strings.Contains(said, *hook.Secret) {
			t.Errorf("%s: a span tells where it was sent, or the secret", name)
		}
		if strings.Contains(string(sent.body), cause.SpanContext.TraceID().String()) {
			t.Errorf("%s: the receiver is told the trace", name)
		}
	}
}

// eventually waits for what another goroutine is about to do.
func eventually(t *testing.T, what string, is func() bool) {
	t.Helper()
	for end := time.Now().Add(20 * time.Second); !is(); time.Sleep(5 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("not so: %s", what)
		}
	}
}

// An attribute of a span has the bounds of a log line: it keeps secrets, in
// their right places and in wrong ones.
func keepsSecretsInSpans(t *testing.T, spans tracetest.SpanStubs, secrets []string) {
	t.Helper()
	if len(spans) == 0 {
		t.Fatal("nothing was traced")
	}
	var said strings.Builder
	for i := range spans {
		fmt.Fprintln(&said, spans[i].Name, spans[i].Status, spans[i].Events, spans[i].SpanContext.TraceState())
		for _, a := range spans[i].Attributes {
			fmt.Fprintln(&said, a.Key, a.Value.String())
		}
	}
	for _, secret := range secrets {
		_, random, _ := strings.Cut(strings.TrimPrefix(secret, "foldwright_"), "_")
		if strings.Contains(said.String(), random) || strings.Contains(said.String(), access.Hash(secret)) {
			t.Errorf("%s is in a span", secret)
		}
	}
}
