package api

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"io"
	"log/slog"
	"net/http"
	"net/netip"
	"runtime"
	"sync"
	"sync/atomic"
	"time"

	"foldwright/api/hooks"
	"foldwright/api/jobs"
	"foldwright/api/site"
	"foldwright/openapi"
	"foldwright/storage"
	"foldwright/storage/access"
	"foldwright/storage/observed"

	"github.com/labstack/echo/v4"
	"github.com/prometheus/client_golang/prometheus"
	semconv "go.opentelemetry.io/otel/semconv/v1.43.0"
	"go.opentelemetry.io/otel/trace"
)

// Config is what a server is made of.
type Config struct {
	Store   storage.Database
	Log     *slog.Logger // nil: nothing is logged
	Release string       // shown at / and in the log
	// RequestTimeout bounds the work on one request; 0 is DefaultTimeout.
	RequestTimeout time.Duration

	// KeysRequired is for a service that others can reach. Otherwise requests
	// without a key that come from this machine work in access.Local.
	KeysRequired bool
	// Origins are those whose pages may read every answer.
	Origins []string
	// TrustedProxies are believed when they tell the address of a client.
	TrustedProxies []netip.Prefix

	// KeyRate and AddressRate are how many requests a minute are answered for
	// one key, and for one address without a key of its own; 0 is any number.
	KeyRate, AddressRate int
	// Quota is the store's own, to be shown.
	Quota storage.Quota
	// Concurrency is how many requests make the solver work at once; one client
	// may have all but one. 0 is one for each processor, and one more for others
	// while a client has those. QueueLength and QueueWait bound how many wait
	// for that and for how long; 0 is DefaultQueueLength and DefaultQueueWait.
	Concurrency, QueueLength int
	QueueWait                time.Duration
	// CacheBytes is how much of what was worked out is kept in memory to be
	// answered again; 0 is none.
	CacheBytes int

	// JobWorkers is how many jobs are worked on at once; 0 is half the
	// processors, so that requests are answered meanwhile.
	JobWorkers int
	// JobTimes say how often and how long; each that is 0 has a default.
	JobTimes jobs.Times

	// Traces is where spans go; nil is nowhere.
	Traces trace.TracerProvider
	// Collectors are metrics of the process, to be answered with the service's.
	Collectors []prometheus.Collector

	// HookPrivate lets hooks reach the network the service is in, also without
	// encryption. On its own machine alone, a service reaches that machine.
	HookPrivate bool
	// HookTimes say how often and how long; each that is 0 has a default.
	HookTimes hooks.Times

	// Now is the clock; nil is the machine's.
	Now func() time.Time
}

// Defaults of a Config.
const (
	// DefaultTimeout is far more than the largest design needs.
	DefaultTimeout = 25 * time.Second
	// DefaultQueueLength holds, on a machine with few processors, as much as is
	// done within DefaultQueueWait.
	DefaultQueueLength = 200
	// DefaultQueueWait is about as long as people wait for a page.
	DefaultQueueWait = 10 * time.Second
	// DefaultJobBudget is enough for the longest fit of a large design.
	DefaultJobBudget = 15 * time.Minute
	// defaultLease outlives a pause of a process that is at work, and lets
	// others take over soon what a dead one leaves.
	defaultLease = 10 * time.Second
	// defaultPace is often enough for people to watch.
	defaultPace = 500 * time.Millisecond
	// defaultSweep is much shorter than jobs are kept.
	defaultSweep = 10 * time.Second

	// hooksAtOnce wait for receivers, which takes no work.
	hooksAtOnce = 16
	// hookLease outlives a delivery and noting how it went.
	hookLease = time.Minute
	// hookSweep is much shorter than deliveries are kept.
	hookSweep = 5 * time.Minute
	// hookAnswer is ample for a receiver that only notes what it is sent.
	hookAnswer = 10 * time.Second
	// hookGrace is within what a service is given to stop.
	hookGrace = 3 * time.Second
)

// Server answers the API.
type Server struct {
	database   storage.Database
	storeName  string       // of its system
	tracer     trace.Tracer // nil: no traces
	log        *slog.Logger
	release    string
	timeout    time.Duration
	operations operations
	contract   []byte // the OpenAPI document in JSON
	reference  *site.Page
	problems   *ProblemCatalogue
	examples   *examples
	metrics    *metrics
	pipeline   *Pipeline
	workers    *jobs.Workers
	hooks      *hooks.Workers
	handler    http.Handler
	draining   atomic.Bool

	keysRequired bool
	ownName      string // of this machine, besides the usual ones
	origins      []string
	proxies      proxies
	keyRate      *limiter
	addressRate  *limiter
	gate         *gate
	memory       *memory
	quota        storage.Quota
	now          func() time.Time
}

// New prepares a server. Its store stays the caller's to close.
func New(config Config) (*Server, error) {
	if config.Store == nil {
		return nil, errors.New("api: a server needs a store")
	}
	s := &Server{
		log: config.Log, release: config.Release,
		timeout:      cmp.Or(config.RequestTimeout, DefaultTimeout),
		keysRequired: config.KeysRequired, origins: config.Origins, proxies: config.TrustedProxies,
		keyRate: newLimiter(rateOfKeys, config.KeyRate), addressRate: newLimiter(rateOfAddresses, config.AddressRate),
		gate: newGate(cmp.Or(config.Concurrency, runtime.GOMAXPROCS(0)+1),
			cmp.Or(config.QueueLength, DefaultQueueLength), cmp.Or(config.QueueWait, DefaultQueueWait), cmp.Or(config.RequestTimeout, DefaultTimeout)),
		quota: config.Quota, now: config.Now,
	}
	if s.log == nil {
		s.log = slog.New(slog.DiscardHandler)
	}
	s.log = slog.New(traceLog{s.log.Handler()})
	if config.Traces != nil {
		s.tracer = config.Traces.Tracer(tracerName, trace.WithInstrumentationVersion(config.Release), trace.WithSchemaURL(semconv.SchemaURL))
	}
	s.database, s.storeName = observed.New(config.Store, s.watchStore), databaseSystem(config.Store)
	if s.now == nil {
		s.now = time.Now
	}
	doc, err := openapi.Load()
	if err != nil {
		return nil, err
	}
	if s.operations, err = loadOperations(doc); err != nil {
		return nil, err
	}
	if s.contract, err = doc.MarshalJSON(); err != nil {
		return nil, err
	}
	if s.reference, err = reference(); err != nil {
		return nil, err
	}
	if s.problems, err = problemCatalogue(doc); err != nil {
		return nil, err
	}
	if s.examples, err = loadExamples(); err != nil {
		return nil, err
	}
	s.metrics = newMetrics(&config, s.database, s.gate)
	s.memory = newMemory(config.CacheBytes, s.metrics.remembered)
	s.metrics.watchMemory(s.memory)
	s.pipeline = &Pipeline{Observer: s.metrics}
	s.workers = s.newWorkers(&config)
	s.hooks = s.newHooks(&config)
	s.handler = s.routes()
	return s, nil
}

func (s *Server) newWorkers(config *Config) *jobs.Workers {
	times := config.JobTimes
	return &jobs.Workers{
		Queue: s.database, Number: cmp.Or(config.JobWorkers, max(1, runtime.GOMAXPROCS(0)/2)), Log: s.log,
		Times: jobs.Times{
			Lease: cmp.Or(times.Lease, defaultLease), Pace: cmp.Or(times.Pace, defaultPace),
			Sweep: cmp.Or(times.Sweep, defaultSweep), Budget: cmp.Or(times.Budget, DefaultJobBudget),
		},
		Do: s.do, Problem: s.jobProblem, Attempt: s.attempt, Ended: s.metrics.jobEnded,
	}
}

func (s *Server) newHooks(config *Config) *hooks.Workers {
	times := config.HookTimes
	return &hooks.Workers{
		Queue: s.database, Number: hooksAtOnce, Log: s.log, Agent: "foldwright/" + s.release,
		Reach: hooks.Reach{Loopback: !config.KeysRequired, Private: config.HookPrivate},
		Times: hooks.Times{
			Lease: cmp.Or(times.Lease, hookLease), Pace: cmp.Or(times.Pace, defaultPace), Sweep: cmp.Or(times.Sweep, hookSweep),
			Answer: cmp.Or(times.Answer, hookAnswer), Grace: cmp.Or(times.Grace, hookGrace),
		},
		Body: func(workspace string, e *storage.Event) ([]byte, error) { return encode(eventOf(workspace, e)) }, Attempt: s.delivery,
	}
}

// Work works on jobs and sends events, those of other servers on the same store
// too, until the context is done; what is not finished then goes back into its
// queue. It also forgets what the store is to keep no longer.
func (s *Server) Work(ctx context.Context) {
	var all sync.WaitGroup
	all.Go(func() { s.workers.Run(ctx) })
	all.Go(func() { s.hooks.Run(ctx) })
	all.Go(func() { s.purge(ctx) })
	all.Wait()
}

// Handler answers requests.
func (s *Server) Handler() http.Handler { return s.handler }

// Drain makes the server report that it is not ready, so that no new clients
// are sent to it while it finishes.
func (s *Server) Drain() { s.draining.Store(true) }

func (s *Server) routes() http.Handler {
	e := echo.New()
	e.HideBanner, e.HidePort = true, true
	e.Binder = bodyBinder{}
	// The outermost middleware has answered every error; what comes here is
	// one of its own.
	e.HTTPErrorHandler = func(err error, c echo.Context) {
		s.log.Error("unanswered error", "error", err, "path", access.Redact(c.Request().URL.Path))
	}
	e.IPExtractor = s.proxies.extractor()
	e.Use(s.record, s.compress, s.recover, s.preflight, s.authenticate, s.holdToContract, s.remembered, s.queue, s.limitTime, s.workedOutOnce)
	RegisterHandlers(withHead{e}, NewStrictHandler(s, []StrictMiddlewareFunc{s.noteAnswer}))
	return e
}

// withHead routes HEAD wherever it routes GET.
type withHead struct{ *echo.Echo }

func (r withHead) GET(path string, h echo.HandlerFunc, m ...echo.MiddlewareFunc) *echo.Route {
	r.HEAD(path, h, m...)
	return r.Echo.GET(path, h, m...)
}

// bodyBinder decodes the body alone, which the contract middleware has read and
// checked. Echo's own would fill fields from the address too.
type bodyBinder struct{}

func (bodyBinder) Bind(into any, c echo.Context) error {
	body, err := io.ReadAll(c.Request().Body)
	if err != nil {
		return err
	}
	if raw, whole := into.(*json.RawMessage); whole {
		*raw = body // a design or a patch: decoded later, faults and all
		return nil
	}
	return decodeChecked(body, into)
}
