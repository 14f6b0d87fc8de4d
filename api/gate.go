package api

import (
	"context"
	"slices"
	"sync"
	"time"

	"github.com/labstack/echo/v4"
)

// gate lets so many requests work at a time, and each client all places but one,
// so that however long its work takes, others find a place. The rest wait in a
// queue for each client. Those with the least at work are next, and of these who
// had no turn for longest.
type gate struct {
	most    int           // at work at once
	share   int           // of these, one client's
	longest int           // waiting in all
	patient time.Duration // waiting for each
	limit   time.Duration // of the work of each

	mu      sync.Mutex
	working map[*workplace]struct{}
	held    map[string]int // places of each client
	waiting int
	queues  map[string][]*waiter
	turns   []string      // clients that wait, the next of equals first
	usual   time.Duration // that a request works
}

// workplace is that of a request at work.
type workplace struct {
	client string
	since  time.Time
}

// Reasons for being busy.
const (
	reasonQueueFull = "queue_full"
	reasonWaited    = "waited_too_long"
	reasonOwnShare  = "own_share_full"
)

// waiter is a request in a queue, told once how it leaves it: with a place, or
// with the reason for having none.
type waiter struct {
	client string
	told   chan error
	place  *workplace
}

func newGate(most, longest int, patient, limit time.Duration) *gate {
	return &gate{
		most: most, share: max(1, most-1), longest: longest, patient: patient, limit: limit,
		working: map[*workplace]struct{}{}, held: map[string]int{}, queues: map[string][]*waiter{},
	}
}

// enter waits for a place, which is to be left.
func (g *gate) enter(ctx context.Context, client string) (*workplace, error) {
	p, w, err := g.line(client)
	if w == nil {
		return p, err
	}
	timer := time.NewTimer(g.patient)
	defer timer.Stop()
	select {
	case err := <-w.told:
		return w.place, err
	case <-ctx.Done():
		return nil, g.giveUp(w, ctx.Err)
	case <-timer.C:
		return nil, g.giveUp(w, func() error { return g.tooLong(client) })
	}
}

// line lets a client in at once or puts it in its queue. When the queues are
// full, the client with the most to wait for gives up its last place.
func (g *gate) line(client string) (*workplace, *waiter, error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.mayWork(client) {
		return g.admit(client), nil, nil // all who wait have their share
	}
	if g.waiting >= g.longest {
		greediest := client
		for _, other := range g.turns {
			if len(g.queues[other]) > len(g.queues[greediest]) {
				greediest = other
			}
		}
		if len(g.queues[greediest]) <= len(g.queues[client])+1 {
			return nil, nil, g.busy(client, reasonQueueFull, "the queue of work is full")
		}
		queue := g.queues[greediest]
		last := queue[len(queue)-1]
		g.remove(last)
		last.told <- g.busy(greediest, reasonQueueFull, "the queue of work is full")
	}
	w := &waiter{client: client, told: make(chan error, 1)}
	if len(g.queues[client]) == 0 {
		g.turns = append(g.turns, client)
	}
	g.queues[client] = append(g.queues[client], w)
	g.waiting++
	return nil, w, nil
}

func (g *gate) mayWork(client string) bool {
	return len(g.working) < g.most && g.held[client] < g.share
}

func (g *gate) admit(client string) *workplace {
	p := &workplace{client, time.Now()}
	g.working[p] = struct{}{}
	g.held[client]++
	return p
}

// leave hands a place on. Before it does, either all places are taken, or all
// who wait have their share; so one of them at most can work now.
func (g *gate) leave(p *workplace) {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.learn(time.Since(p.since))
	delete(g.working, p)
	if g.held[p.client]--; g.held[p.client] == 0 {
		delete(g.held, p.client)
	}
	if i := slices.Index(g.turns, p.client); i >= 0 { // to the end of the line
		g.turns = append(slices.Delete(g.turns, i, i+1), p.client)
	}
	able := slices.DeleteFunc(slices.Clone(g.turns), func(client string) bool { return !g.mayWork(client) })
	if len(able) == 0 {
		return
	}
	next := slices.MinFunc(able, func(a, b string) int { return g.held[a] - g.held[b] })
	w := g.queues[next][0]
	g.remove(w)
	w.place = g.admit(next)
	w.told <- nil
}

// giveUp takes a waiter out of its queue, unless it was told meanwhile.
func (g *gate) giveUp(w *waiter, why func() error) error {
	g.mu.Lock()
	waited := g.remove(w)
	reason := why()
	g.mu.Unlock()
	if waited {
		return reason
	}
	if err := <-w.told; err != nil {
		return err
	}
	g.leave(w.place)
	return reason
}

func (g *gate) remove(w *waiter) bool {
	queue := g.queues[w.client]
	i := slices.Index(queue, w)
	if i < 0 {
		return false
	}
	g.waiting--
	if queue = slices.Delete(queue, i, i+1); len(queue) > 0 {
		g.queues[w.client] = queue
		return true
	}
	delete(g.queues, w.client)
	g.turns = slices.DeleteFunc(g.turns, func(c string) bool { return c == w.client })
	return true
}

// tooLong is for a client whose patience has ended.
func (g *gate) tooLong(client string) error {
	if g.most > g.share && g.held[client] >= g.share {
		return g.busy(client, reasonOwnShare, "this client has "+counted(uint64(g.share), "request")+" at work, as many as one may")
	}
	return g.busy(client, reasonWaited, "the work ahead of this request takes too long")
}

func (g *gate) busy(client, reason, detail string) error {
	after := g.estimate(client)
	return &fault{kind: busy, reason: reason, after: after, detail: detail + "; try again in " + counted(uint64(seconds(after)), "second")}
}

// lengths are how many requests work and wait.
func (g *gate) lengths() (working, waiting int) {
	g.mu.Lock()
	defer g.mu.Unlock()
	return len(g.working), g.waiting
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
		p, err := s.gate.enter(c.Request().Context(), x.principal.client())
		waited := time.Since(start)
		s.metrics.waited.Observe(waited.Seconds())
		tracePart(c.Request().Context(), "queue", start, waited)
		if err != nil {
			return err
		}
		defer s.gate.leave(p)
		return next(c)
	}
}
