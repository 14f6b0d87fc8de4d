package api

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"sync/atomic"
	"time"

	"foldwright/api/site"
	"foldwright/openapi"
	"foldwright/storage"

	"github.com/labstack/echo/v4"
)

// Config is what a server is made of.
type Config struct {
	Store   storage.Database
	Log     *slog.Logger // nil: nothing is logged
	Release string       // shown at / and in the log
	// RequestTimeout bounds the work on one request; 0 is DefaultTimeout.
	RequestTimeout time.Duration
}

// DefaultTimeout is far more than the largest design needs.
const DefaultTimeout = 25 * time.Second

// Server answers the API.
type Server struct {
	database   storage.Database
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
	handler    http.Handler
	draining   atomic.Bool
}

// New prepares a server. Its store stays the caller's to close.
func New(config Config) (*Server, error) {
	if config.Store == nil {
		return nil, errors.New("api: a server needs a store")
	}
	s := &Server{database: config.Store, log: config.Log, release: config.Release, timeout: config.RequestTimeout}
	if s.log == nil {
		s.log = slog.New(slog.DiscardHandler)
	}
	if s.timeout == 0 {
		s.timeout = DefaultTimeout
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
	s.metrics = newMetrics(config.Store)
	s.pipeline = &Pipeline{Observer: s.metrics}
	s.handler = s.routes()
	return s, nil
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
		s.log.Error("unanswered error", "error", err, "path", c.Request().URL.Path)
	}
	e.Use(s.record, s.recover, s.limitTime, s.holdToContract)
	RegisterHandlers(withHead{e}, NewStrictHandler(s, nil))
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
	if err := json.Unmarshal(body, into); err != nil {
		return fmt.Errorf("api: a body that was checked does not decode: %w", err)
	}
	return nil
}
