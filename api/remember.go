package api

import (
	"context"
	"crypto/sha256"
	"io"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/hashicorp/golang-lru/v2/simplelru"
	"github.com/labstack/echo/v4"
	"github.com/prometheus/client_golang/prometheus"
)

// memory keeps answers that follow from a design and options alone, so that what
// is asked often is worked out once. It holds so many bytes, and forgets what
// was not asked for longest. Who may ask is found out before, each time.
type memory struct {
	most   int
	asked  *prometheus.CounterVec
	mu     sync.Mutex
	held   int
	kept   *simplelru.LRU[answerKey, *answer]
	making map[answerKey]chan struct{} // closed when it is done
}

// answerKey is a hash of all that an answer follows from.
type answerKey [sha256.Size]byte

const (
	// answerOverhead is about what an answer takes besides its body.
	answerOverhead = 1 << 10
	// largestShare is the part of the memory that one answer may take.
	largestShare = 8
)

// newMemory is nil where nothing is to be kept.
func newMemory(most int, asked *prometheus.CounterVec) *memory {
	if most == 0 {
		return nil
	}
	m := &memory{most: most, asked: asked, making: map[answerKey]chan struct{}{}}
	kept, err := simplelru.NewLRU(most/answerOverhead+1, func(_ answerKey, a *answer) { m.held -= a.size() })
	if err != nil {
		panic(err) // a size that is not positive
	}
	m.kept = kept
	return m
}

func (a *answer) size() int { return cap(a.body) + answerOverhead }

func (m *memory) find(key answerKey) *answer {
	m.mu.Lock()
	defer m.mu.Unlock()
	a, _ := m.kept.Get(key)
	return a
}

func (m *memory) keep(key answerKey, a *answer) {
	if a.status != http.StatusOK || a.size() > m.most/largestShare {
		return
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.kept.Contains(key) {
		return
	}
	m.kept.Add(key, a)
	for m.held += a.size(); m.held > m.most; {
		m.kept.RemoveOldest()
	}
}

func (m *memory) bytes() float64 {
	if m == nil {
		return 0
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	return float64(m.held)
}

// claim makes the caller the one who works an answer out, until it calls done.
// Who comes second waits for the first and gets what that has found.
func (m *memory) claim(ctx context.Context, key answerKey) (found *answer, done func(), err error) {
	for {
		m.mu.Lock()
		if a, ok := m.kept.Get(key); ok {
			m.mu.Unlock()
			return a, nil, nil
		}
		others, busy := m.making[key]
		if !busy {
			mine := make(chan struct{})
			m.making[key] = mine
			m.mu.Unlock()
			return nil, func() { m.release(key, mine) }, nil
		}
		m.mu.Unlock()
		select {
		case <-others:
		case <-ctx.Done():
			return nil, nil, ctx.Err()
		}
	}
}

// release may be called again.
func (m *memory) release(key answerKey, mine chan struct{}) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.making[key] == mine {
		delete(m.making, key)
		close(mine)
	}
}

// lasting are the operations whose answers follow from a design and options
// alone, by how their ids begin. A layout depends on the time it takes too.
var lasting = []string{"solve", "check", "pattern", "makePattern", "view", "curves", "model", "guide", "embed", "getDiagram"}

func isLasting(operationID string) bool {
	return slices.ContainsFunc(lasting, func(name string) bool { return strings.HasPrefix(operationID, name) })
}

// remembered is the middleware that answers from memory, before the queue.
func (s *Server) remembered(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		x := exchangeOf(c.Request().Context())
		if s.memory == nil || x.operation == nil || !x.operation.lasting {
			return next(c)
		}
		key, err := s.answerKey(c, x)
		if err != nil {
			return err
		}
		if a := s.memory.find(key); a != nil {
			s.memory.asked.WithLabelValues(remembersIt).Inc()
			return a.unlessHeld(c.Request().Header.Get("If-None-Match")).write(c.Response())
		}
		x.key = &key
		return next(c)
	}
}

const remembersIt, worksItOut = "hit", "miss"

// workedOutOnce is the middleware that, once a request has its turn, lets one of
// those who ask the same work.
func (s *Server) workedOutOnce(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		ctx := c.Request().Context()
		x := exchangeOf(ctx)
		if x.key == nil {
			return next(c)
		}
		found, done, err := s.memory.claim(ctx, *x.key)
		if err != nil {
			return err
		}
		if found != nil {
			s.memory.asked.WithLabelValues(remembersIt).Inc()
			return found.unlessHeld(c.Request().Header.Get("If-None-Match")).write(c.Response())
		}
		s.memory.asked.WithLabelValues(worksItOut).Inc()
		defer done()
		x.worked = func(a *answer) {
			s.memory.keep(*x.key, a)
			done() // nobody waits for a slow client
		}
		return next(c)
	}
}

// noteAnswer hands what a handler has worked out to the memory.
func (s *Server) noteAnswer(next StrictHandlerFunc, _ string) StrictHandlerFunc {
	return func(c echo.Context, request any) (any, error) {
		response, err := next(c, request)
		if a, ready := response.(*answer); ready && err == nil && a != nil {
			if worked := exchangeOf(c.Request().Context()).worked; worked != nil {
				worked(a.entire())
			}
		}
		return response, err
	}
}

// answerKey names the answer to a request. A stored version is read for it, which
// finds out too whether it may be seen, and is handed on to the handler; what is
// posted or comes with the service is named by the body or the path.
func (s *Server) answerKey(c echo.Context, x *exchange) (answerKey, error) {
	r := c.Request()
	query := r.URL.Query()
	query.Del(shareParameter)
	parts := []string{x.operation.route.Operation.OperationID, x.media, query.Encode()}
	if id, n := c.Param("id"), c.Param("n"); id != "" && n != "" {
		number, err := strconv.Atoi(n)
		if err != nil {
			return answerKey{}, err
		}
		ctx, cancel := context.WithTimeout(r.Context(), storeTimeout)
		defer cancel()
		v, err := s.store(ctx).Version(ctx, id, number)
		if err != nil {
			return answerKey{}, err
		}
		x.version = &v
		parts = append(parts, v.Hash)
	} else {
		body, err := io.ReadAll(r.Body)
		if err != nil {
			return answerKey{}, err
		}
		r.Body = io.NopCloser(strings.NewReader(string(body)))
		parts = append(parts, r.URL.Path, string(body))
	}
	return sha256.Sum256([]byte(strings.Join(parts, "\x00"))), nil
}
