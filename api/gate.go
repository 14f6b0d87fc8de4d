package api

import (
	"context"
	"slices"
	"sync"
	"time"

	"github.com/labstack/echo/v4"
)

// gate lets so many requests work at a time. The others wait in a queue for each
// client, and the clients take turns, so that whoever sends a hundred requests
// waits for their own.
type gate struct {
	most    int           // at work at once
	longest int           // waiting in all
	patient time.Duration // waiting for each

	mu      sync.Mutex
	working int
	waiting int
	queues  map[string][]*waiter
	turns   []string // clients that wait, the next first
}

// waiter is a request in a queue, told once how it leaves it.
type waiter struct{ told chan error }

func newGate(most, longest int, patient time.Duration) *gate {
	return &gate{most: most, longest: longest, patient: patient, queues: map[string][]*waiter{}}
}

// enter waits for a turn. After a nil, leave must be called.
func (g *gate) enter(ctx context.Context, client string) error {
	w, err := g.line(client)
	if w == nil {
		return err
	}
	timer := time.NewTimer(g.patient)
	defer timer.Stop()
	select {
	case err := <-w.told:
		return err
	case <-ctx.Done():
		return g.giveUp(client, w, ctx.Err())
	case <-timer.C:
		return g.giveUp(client, w, &fault{kind: busy, detail: "the work ahead of this request takes too long; try again after Retry-After seconds"})
	}
}

// line lets a client in at once or puts it in its queue. When the queues are
// full, the client with the most to wait for gives up its last place.
func (g *gate) line(client string) (*waiter, error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.working < g.most {
		g.working++ // nobody waits while there is room
		return nil, nil
	}
	full := &fault{kind: busy, detail: "the queue of work is full; try again after Retry-After seconds"}
	if g.waiting >= g.longest {
		greediest := client
		for _, other := range g.turns {
			if len(g.queues[other]) > len(g.queues[greediest]) {
				greediest = other
			}
		}
		if len(g.queues[greediest]) <= len(g.queues[client])+1 {
			return nil, full
		}
		queue := g.queues[greediest]
		last := queue[len(queue)-1]
		g.remove(greediest, last)
		last.told <- full
	}
	w := &waiter{told: make(chan error, 1)}
	if len(g.queues[client]) == 0 {
		g.turns = append(g.turns, client)
	}
	g.queues[client] = append(g.queues[client], w)
	g.waiting++
	return w, nil
}

// leave hands the place on.
func (g *gate) leave() {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.waiting == 0 {
		g.working--
		return
	}
	client := g.turns[0]
	w := g.queues[client][0]
	g.remove(client, w)
	if len(g.queues[client]) > 0 { // to the end of the line
		g.turns = append(g.turns[1:], client)
	}
	w.told <- nil
}

// giveUp takes a waiter out of its queue, unless it was told meanwhile.
func (g *gate) giveUp(client string, w *waiter, reason error) error {
	g.mu.Lock()
	if g.remove(client, w) {
		g.mu.Unlock()
		return reason
	}
	g.mu.Unlock()
	if err := <-w.told; err != nil {
		return err
	}
	g.leave()
	return reason
}

func (g *gate) remove(client string, w *waiter) bool {
	queue := g.queues[client]
	i := slices.Index(queue, w)
	if i < 0 {
		return false
	}
	g.waiting--
	if queue = slices.Delete(queue, i, i+1); len(queue) > 0 {
		g.queues[client] = queue
		return true
	}
	delete(g.queues, client)
	g.turns = slices.DeleteFunc(g.turns, func(c string) bool { return c == client })
	return true
}

// lengths are how many requests work and wait.
func (g *gate) lengths() (working, waiting int) {
	g.mu.Lock()
	defer g.mu.Unlock()
	return g.working, g.waiting
}

// queue is the middleware that lets operations that make the solver work wait
// for their turn. Their bodies have been read by then, so a slow client keeps
// no place.
func (s *Server) queue(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		x := exchangeOf(c.Request().Context())
		if x.operation == nil || !x.operation.queued {
			return next(c)
		}
		start := time.Now()
		err := s.gate.enter(c.Request().Context(), x.principal.client())
		waited := time.Since(start)
		s.metrics.waited.Observe(waited.Seconds())
		tracePart(c.Request().Context(), "queue", start, waited)
		if err != nil {
			return err
		}
		defer s.gate.leave()
		return next(c)
	}
}
