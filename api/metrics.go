package api

import (
	"context"
	"net/http"
	"runtime"
	"strconv"
	"time"

	"foldwright/solver/finding"
	"foldwright/storage"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
)

// metrics are the counters of one server, in a registry of their own.
type metrics struct {
	registry   *prometheus.Registry
	requests   *prometheus.HistogramVec
	stages     *prometheus.HistogramVec
	found      *prometheus.CounterVec
	refused    *prometheus.CounterVec
	waited     prometheus.Histogram
	inFlight   prometheus.Gauge
	sent       *prometheus.CounterVec
	remembered *prometheus.CounterVec
	storeMetrics
	jobMetrics
	hookMetrics
}

func newMetrics(config *Config, store storage.Database, g *gate) *metrics {
	m := &metrics{
		registry:     prometheus.NewRegistry(),
		storeMetrics: newStoreMetrics(),
		jobMetrics:   newJobMetrics(),
		hookMetrics:  newHookMetrics(),
		requests: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name:    "foldwright_http_request_duration_seconds",
			Help:    "Time to answer a request, by route, method and status.",
			Buckets: prometheus.ExponentialBuckets(0.0005, 2.5, 12), // 0.5 ms to 12 s
		}, []string{"route", "method", "status"}),
		stages: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name:    "foldwright_solver_stage_duration_seconds",
			Help:    "Time in one stage of the solver.",
			Buckets: prometheus.ExponentialBuckets(0.00001, 4, 10), // 10 µs to 2.6 s
		}, []string{"stage"}),
		found: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "foldwright_findings_total",
			Help: "Findings reported, by code.",
		}, []string{"code"}),
		refused: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "foldwright_refused_total",
			Help: "Requests refused to protect designs or the service, by the problem answered and, where a problem has several, the reason.",
		}, []string{"problem", "reason"}),
		waited: prometheus.NewHistogram(prometheus.HistogramOpts{
			Name:    "foldwright_queue_wait_seconds",
			Help:    "Time requests waited for their turn to work.",
			Buckets: prometheus.ExponentialBuckets(0.001, 4, 8), // 1 ms to 16 s
		}),
		inFlight: prometheus.NewGauge(prometheus.GaugeOpts{
			Name: "foldwright_http_requests_in_flight",
			Help: "Requests that are being answered, streams of events among them.",
		}),
		sent: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "foldwright_http_response_bytes_total",
			Help: "Bytes of the bodies of answers before compression, by route.",
		}, []string{"route"}),
		remembered: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "foldwright_remembered_answers_total",
			Help: "Answers that may be kept in memory, by whether they were there.",
		}, []string{"outcome"}),
	}
	// Series that are there from the start read 0 instead of nothing.
	for _, outcome := range []string{remembersIt, worksItOut} {
		m.remembered.WithLabelValues(outcome)
	}
	for _, stage := range Stages() {
		m.stages.WithLabelValues(stage)
	}
	for _, info := range finding.Catalogue() {
		m.found.WithLabelValues(string(info.Code))
	}
	for k, reasons := range protective {
		for _, reason := range reasons {
			m.refused.WithLabelValues(k.name, reason)
		}
	}
	m.registry.MustRegister(m.requests, m.stages, m.found, m.refused, m.waited, m.inFlight, m.sent, m.remembered, m.calls, m.failures, m.waits, m.ends, m.attempts, m.sends, hookCollector{store}, gateCollector{g}, jobCollector{store},
		collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	m.registry.MustRegister(buildInfo(config.Release))
	m.registry.MustRegister(config.Collectors...)
	if counted, ok := config.Store.(interface{ Stats() storage.Stats }); ok {
		m.registry.MustRegister(poolCollector{counted.Stats})
	}
	if versioned, ok := config.Store.(interface {
		Schema(context.Context) (int64, error)
	}); ok {
		m.registry.MustRegister(schemaCollector{versioned.Schema})
	}
	return m
}

// watchMemory reports how full the memory of answers is.
func (m *metrics) watchMemory(of *memory) {
	m.registry.MustRegister(prometheus.NewGaugeFunc(prometheus.GaugeOpts{
		Name: "foldwright_remembered_bytes",
		Help: "Bytes of the answers kept in memory.",
	}, of.bytes))
}

// buildInfo is 1, with what was built as its labels.
func buildInfo(release string) prometheus.Collector {
	return prometheus.NewGaugeFunc(prometheus.GaugeOpts{
		Name:        "foldwright_build_info",
		Help:        "Always 1; the release and the Go version it was built with.",
		ConstLabels: prometheus.Labels{"release": release, "goversion": runtime.Version()},
	}, func() float64 { return 1 })
}

var _ Observer = (*metrics)(nil)

// Stage implements Observer.
func (m *metrics) Stage(ctx context.Context, name string, start time.Time, took time.Duration) {
	tracePart(ctx, "stage "+name, start, took)
	m.stages.WithLabelValues(name).Observe(took.Seconds())
}

// Found implements Observer.
func (m *metrics) Found(code finding.Code) { m.found.WithLabelValues(string(code)).Inc() }

// protective are the problems that protect designs or the service, and the
// reasons for each; none where there is but one.
var protective = map[*problemKind][]string{
	keyRequired:     {reasonNoKey, reasonUnknownKey, reasonRevokedKey, reasonExpiredKey},
	forbidden:       {reasonScope, reasonOrigin},
	tooManyRequests: {rateOfKeys, rateOfAddresses},
	quotaReached:    {"designs", "versions", "bytes", "keys", "shares", "labels", "jobs", "hooks"},
	busy:            {reasonQueueFull, reasonWaited, reasonOwnShare},
	tookTooLong:     {""},
	bodyTooLarge:    {""},
}

func (m *metrics) refuse(f *fault) {
	if _, counted := protective[f.kind]; counted {
		m.refused.WithLabelValues(f.kind.name, f.reason).Inc()
	}
}

func (m *metrics) request(route, method string, status int, size int64, took time.Duration) {
	m.sent.WithLabelValues(route).Add(float64(size))
	m.requests.WithLabelValues(route, knownMethod(method), strconv.Itoa(status)).Observe(took.Seconds())
}

const otherMethod = "other"

// knownMethod keeps a client from making series of its own.
func knownMethod(method string) string {
	switch method {
	case http.MethodGet, http.MethodHead, http.MethodPost, http.MethodPut, http.MethodPatch, http.MethodDelete, http.MethodOptions:
		return method
	default:
		return otherMethod
	}
}

// poolCollector reports the store's database connections.
type poolCollector struct{ stats func() storage.Stats }

var (
	poolMax    = prometheus.NewDesc("foldwright_db_connections_max", "The most connections the store may open.", nil, nil)
	poolOpen   = prometheus.NewDesc("foldwright_db_connections", "Connections of the store, by state.", []string{"state"}, nil)
	poolWaits  = prometheus.NewDesc("foldwright_db_waits_total", "Calls that had to wait for a connection.", nil, nil)
	poolWaited = prometheus.NewDesc("foldwright_db_wait_seconds_total", "Time spent waiting for a connection.", nil, nil)
)

// Describe implements prometheus.Collector.
func (p poolCollector) Describe(to chan<- *prometheus.Desc) { prometheus.DescribeByCollect(p, to) }

// Collect implements prometheus.Collector.
func (p poolCollector) Collect(to chan<- prometheus.Metric) {
	s := p.stats()
	gauge := func(desc *prometheus.Desc, v float64, labels ...string) {
		to <- prometheus.MustNewConstMetric(desc, prometheus.GaugeValue, v, labels...)
	}
	counter := func(desc *prometheus.Desc, v float64) {
		to <- prometheus.MustNewConstMetric(desc, prometheus.CounterValue, v)
	}
	gauge(poolMax, float64(s.Max))
	gauge(poolOpen, float64(s.InUse), "in_use")
	gauge(poolOpen, float64(s.Idle), "idle")
	counter(poolWaits, float64(s.Waits))
	counter(poolWaited, s.Waited.Seconds())
}

// schemaCollector reports the version of the store's schema, which another
// release may have brought further than this one knows.
type schemaCollector struct {
	version func(context.Context) (int64, error)
}

var schemaVersion = prometheus.NewDesc("foldwright_schema_version", "Version of the schema of the database.", nil, nil)

// Describe implements prometheus.Collector.
func (c schemaCollector) Describe(to chan<- *prometheus.Desc) { to <- schemaVersion }

// Collect implements prometheus.Collector. What cannot be read is left out.
func (c schemaCollector) Collect(to chan<- prometheus.Metric) {
	ctx, cancel := context.WithTimeout(context.Background(), storeTimeout)
	defer cancel()
	if version, err := c.version(ctx); err == nil {
		to <- prometheus.MustNewConstMetric(schemaVersion, prometheus.GaugeValue, float64(version))
	}
}

// gateCollector reports the queue of work.
type gateCollector struct{ gate *gate }

var (
	gateWorking = prometheus.NewDesc("foldwright_queue_working", "Requests at work.", nil, nil)
	gateWaiting = prometheus.NewDesc("foldwright_queue_waiting", "Requests that wait for their turn.", nil, nil)
)

// Describe implements prometheus.Collector.
func (g gateCollector) Describe(to chan<- *prometheus.Desc) { prometheus.DescribeByCollect(g, to) }

// Collect implements prometheus.Collector.
func (g gateCollector) Collect(to chan<- prometheus.Metric) {
	working, waiting := g.gate.lengths()
	to <- prometheus.MustNewConstMetric(gateWorking, prometheus.GaugeValue, float64(working))
	to <- prometheus.MustNewConstMetric(gateWaiting, prometheus.GaugeValue, float64(waiting))
}
