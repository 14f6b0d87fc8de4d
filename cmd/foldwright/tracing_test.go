package main

import (
	"compress/gzip"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	collector "go.opentelemetry.io/proto/otlp/collector/trace/v1"
	tracepb "go.opentelemetry.io/proto/otlp/trace/v1"
	"google.golang.org/protobuf/proto"
)

// receiver takes spans as OTLP 1.x has it: protobuf by POST to /v1/traces.
type receiver struct {
	*httptest.Server
	mu      sync.Mutex
	spans   map[string]*tracepb.Span
	service string
}

func newReceiver(t *testing.T) *receiver {
	r := &receiver{spans: map[string]*tracepb.Span{}}
	r.Server = httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, q *http.Request) {
		if err := r.take(q); err != nil {
			t.Error(err)
			w.WriteHeader(http.StatusBadRequest)
			return
		}
		w.Header().Set("Content-Type", "application/x-protobuf")
	}))
	t.Cleanup(r.Close)
	return r
}

func (r *receiver) take(q *http.Request) error {
	body := io.Reader(q.Body)
	if q.Header.Get("Content-Encoding") == "gzip" {
		var err error
		if body, err = gzip.NewReader(body); err != nil {
			return err
		}
	}
	raw, err := io.ReadAll(body)
	if err != nil {
		return err
	}
	var sent collector.ExportTraceServiceRequest
	if err := proto.Unmarshal(raw, &sent); err != nil {
		return err
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	for _, resource := range sent.ResourceSpans {
		for _, a := range resource.Resource.Attributes {
			if a.Key == "service.name" {
				r.service = a.Value.GetStringValue()
			}
		}
		for _, scope := range resource.ScopeSpans {
			for _, span := range scope.Spans {
				r.spans[span.Name] = span
			}
		}
	}
	return nil
}

// With nothing but the standard variables spans reach a collector, the last
// ones when the service stops, and the metrics count them.
func TestTracesReachACollector(t *testing.T) {
	r := newReceiver(t)
	t.Setenv("OTEL_EXPORTER_OTLP_ENDPOINT", r.URL)
	t.Setenv("OTEL_SERVICE_NAME", "quay-3")
	t.Setenv("OTEL_BSP_SCHEDULE_DELAY", "50")
	s := startServing(t, "--data-dir", t.TempDir())
	if code, body := fetch(t, s.url+"/v1/examples/harbour/check"); code != http.StatusOK {
		t.Fatalf("%d %s", code, body)
	}
	const counted = "foldwright_trace_spans_total{outcome=\"exported\"} "
	for end := time.Now().Add(20 * time.Second); ; time.Sleep(20 * time.Millisecond) {
		if _, said := fetch(t, s.url+"/metrics"); strings.Contains(said, counted) && !strings.Contains(said, counted+"0\n") {
			break
		}
		if time.Now().After(end) {
			t.Fatal("the metrics count no spans")
		}
	}
	fetch(t, s.url+"/v1/mechanisms")
	s.stop()
	if code := s.wait(t); code != exitOK {
		t.Fatalf("exit code %d: %s", code, s.err)
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	root, stage := r.spans["GET /v1/examples/{name}/check"], r.spans["stage check"]
	if root == nil || stage == nil || r.spans["GET /v1/mechanisms"] == nil {
		t.Fatalf("received %v", r.spans)
	}
	if string(stage.ParentSpanId) != string(root.SpanId) || root.Kind != tracepb.Span_SPAN_KIND_SERVER || r.service != "quay-3" {
		t.Errorf("of %s: %v, %v", r.service, root, stage)
	}
}

// A sampler of the standard variables decides, and a collector that is away
// stops nothing.
func TestTracesMayBeFewAndUnreceived(t *testing.T) {
	r := newReceiver(t)
	t.Setenv("OTEL_EXPORTER_OTLP_ENDPOINT", r.URL)
	t.Setenv("OTEL_TRACES_SAMPLER", "always_off")
	s := startServing(t, "--data-dir", t.TempDir())
	fetch(t, s.url+"/v1/mechanisms")
	s.stop()
	if code := s.wait(t); code != exitOK || len(r.spans) > 0 {
		t.Errorf("exit code %d, received %v", code, r.spans)
	}
	r.Close()
	t.Setenv("OTEL_TRACES_SAMPLER", "always_on")
	t.Setenv("OTEL_EXPORTER_OTLP_TIMEOUT", "200")
	s = startServing(t, "--data-dir", t.TempDir())
	if code, _ := fetch(t, s.url+"/v1/mechanisms"); code != http.StatusOK {
		t.Errorf("answered %d", code)
	}
	s.stop()
	if code := s.wait(t); code != exitOK || !strings.Contains(s.err.String(), "traces") {
		t.Errorf("exit code %d: %s", code, s.err)
	}
}

func TestTracingWanted(t *testing.T) {
	for _, row := range []struct {
		set    map[string]string
		wanted bool
		says   string
	}{
		{nil, false, ""},
		{map[string]string{"OTEL_EXPORTER_OTLP_ENDPOINT": "http://127.0.0.1:4318"}, true, ""},
		{map[string]string{"OTEL_EXPORTER_OTLP_TRACES_ENDPOINT": "http://127.0.0.1:4318/v1/traces"}, true, ""},
		{map[string]string{"OTEL_TRACES_EXPORTER": "otlp"}, true, ""},
		{map[string]string{"OTEL_TRACES_EXPORTER": "none", "OTEL_EXPORTER_OTLP_ENDPOINT": "http://127.0.0.1:4318"}, false, ""},
		{map[string]string{"OTEL_SDK_DISABLED": "true", "OTEL_TRACES_EXPORTER": "otlp"}, false, ""},
		{map[string]string{"OTEL_TRACES_EXPORTER": "pigeon"}, false, "use otlp or none"},
		{map[string]string{"OTEL_TRACES_EXPORTER": "otlp", "OTEL_EXPORTER_OTLP_PROTOCOL": "grpc"}, false, "http/protobuf"},
	} {
		for _, name := range []string{"OTEL_SDK_DISABLED", "OTEL_TRACES_EXPORTER", "OTEL_EXPORTER_OTLP_ENDPOINT", "OTEL_EXPORTER_OTLP_TRACES_ENDPOINT",
			"OTEL_EXPORTER_OTLP_PROTOCOL", "OTEL_EXPORTER_OTLP_TRACES_PROTOCOL"} {
			t.Setenv(name, row.set[name])
		}
		wanted, err := tracingWanted()
		if wanted != row.wanted || (err != nil) != (row.says != "") || err != nil && !strings.Contains(err.Error(), row.says) {
			t.Errorf("%v: %v, %v", row.set, wanted, err)
		}
	}
}
