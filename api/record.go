package api

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"os"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"time"

	"foldwright/storage/access"

	"github.com/labstack/echo/v4"
)

// record is the outermost middleware: it names the request, answers errors as
// problems, and logs and counts what was answered.
func (s *Server) record(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		start := time.Now()
		r := c.Request()
		x := &exchange{
			requestID: requestID(r.Header.Get(requestIDHeader)),
			base:      s.baseOf(r),
			head:      r.Method == http.MethodHead,
			operation: s.operations.find(r.Method, c.Path()),
		}
		ctx, span := s.traced(continued(r), r, x)
		c.SetRequest(r.WithContext(withExchange(ctx, x)))
		s.metrics.inFlight.Inc()
		defer s.metrics.inFlight.Dec()
		header := c.Response().Header()
		header.Set(requestIDHeader, x.requestID)
		setDefaults(header)
		c.Response().Before(func() {
			x.settle(header)
			if s.draining.Load() {
				header.Set(echo.HeaderConnection, "close")
			}
		})
		err := next(c)
		status := 0
		switch {
		case err == nil:
		case errors.Is(context.Cause(r.Context()), ErrShuttingDown):
			s.answerError(c, x, &fault{kind: unavailable, detail: "the service is shutting down, and this takes too long to wait for; try again", cause: err})
		case r.Context().Err() != nil && !errors.Is(err, os.ErrDeadlineExceeded):
			// r has no time limit: only its client ends it, or that nothing more
			// was read from it in time, which is to be told.
			status = statusClientGone
		default:
			s.answerError(c, x, err)
		}
		if status == 0 {
			status = c.Response().Status
		}
		took := time.Since(start)
		s.metrics.request(x.route(), r.Method, status, c.Response().Size, took)
		s.logRequest(c, x, status, err, took)
		endRequest(span, x, status, c.Response().Size)
		return nil
	}
}

// ErrShuttingDown is the cause for which whoever runs the server ends the
// contexts of requests that would take too long to finish.
var ErrShuttingDown = errors.New("api: the service is shutting down")

// statusClientGone stands in the log and the metrics for the status of a
// request whose client did not wait for one, as common proxies write it.
const statusClientGone = 499

// route is the path of the contract, which unlike the path asked for takes few
// values.
func (x *exchange) route() string {
	if x.operation == nil {
		return "unmatched"
	}
	return x.operation.route.Path
}

func (s *Server) logRequest(c echo.Context, x *exchange, status int, err error, took time.Duration) {
	level := slog.LevelInfo
	attributes := []slog.Attr{
		slog.String("request_id", x.requestID),
		slog.String("method", c.Request().Method),
		slog.String("route", x.route()),
		slog.String("path", access.Redact(c.Request().URL.Path)),
		slog.Int("status", status),
		slog.Int64("bytes", c.Response().Size),
		slog.Duration("took", took),
	}
	if p := x.principal; p != nil && p.key != nil {
		attributes = append(attributes, slog.String("workspace", p.workspace), slog.String("key", p.key.ID))
	}
	if err != nil {
		attributes = append(attributes, slog.String("error", access.Redact(err.Error())))
		if status >= http.StatusInternalServerError {
			level = slog.LevelError
			if _, meant := protective[x.problem]; meant {
				level = slog.LevelWarn
			}
		}
	}
	s.log.LogAttrs(c.Request().Context(), level, "request", attributes...)
}

// answerError answers with a problem, unless an answer is under way already.
func (s *Server) answerError(c echo.Context, x *exchange, err error) {
	if c.Response().Committed {
		return // only a client that went away makes writing fail
	}
	f := interpret(err)
	x.problem = f.kind
	s.metrics.refuse(f)
	body, encodeErr := json.Marshal(f.problem(x.requestID))
	if encodeErr != nil {
		s.log.ErrorContext(c.Request().Context(), "a problem does not encode", "error", encodeErr)
		body = nil
	}
	header := c.Response().Header()
	header.Set(echo.HeaderContentType, mediaProblem)
	header.Set(echo.HeaderCacheControl, "no-store")
	header.Set(echo.HeaderContentLength, strconv.Itoa(len(body)))
	if after := f.retryAfter(); after > 0 {
		header.Set(echo.HeaderRetryAfter, strconv.Itoa(seconds(after)))
	}
	if f.kind == keyRequired || f.challenge != "" {
		header.Set(echo.HeaderWWWAuthenticate, strings.TrimSuffix(`Bearer realm="foldwright", `+f.challenge, ", "))
	}
	c.Response().WriteHeader(f.kind.status)
	if _, err := c.Response().Write(body); err != nil {
		s.log.DebugContext(c.Request().Context(), "the client is gone", "request_id", x.requestID, "error", err)
	}
}

// recover turns a panic into an internal error, with the stack in the log.
func (s *Server) recover(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) (err error) {
		defer func() {
			cause := recover()
			if cause == nil {
				return
			}
			if abort, ok := cause.(error); ok && errors.Is(abort, http.ErrAbortHandler) {
				panic(cause) // net/http's own way to drop a connection
			}
			s.log.ErrorContext(c.Request().Context(), "panic", "request_id", exchangeOf(c.Request().Context()).requestID,
				"cause", fmt.Sprint(cause), "stack", string(debug.Stack()))
			err = fmt.Errorf("api: panic: %v", cause)
		}()
		return next(c)
	}
}

// limitTime bounds the work on one request. A stream of events is none.
func (s *Server) limitTime(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		if op := exchangeOf(c.Request().Context()).operation; op != nil && slices.Contains(op.offers, MediaEvents) {
			return next(c)
		}
		longest := s.timeout
		if op := exchangeOf(c.Request().Context()).operation; op != nil && op.archive {
			longest = archiveTimeout
		}
		ctx, cancel := context.WithTimeout(c.Request().Context(), longest)
		defer cancel()
		c.SetRequest(c.Request().WithContext(ctx))
		return next(c)
	}
}
