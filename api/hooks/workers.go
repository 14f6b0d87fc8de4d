package hooks

import (
	"context"
	"errors"
	"log/slog"
	"sync"
	"time"

	"foldwright/api/leased"
	"foldwright/storage"
)

// Workers send what is due to hooks, to a number of them at once.
type Workers struct {
	Queue  storage.HookQueue
	Number int
	Times  Times
	Reach  Reach
	Agent  string // what the service calls itself
	Log    *slog.Logger

	// Body is an event of a workspace as it is sent.
	Body func(workspace string, e *storage.Event) ([]byte, error)
	// Attempt is told of each attempt, and what it returns how that went; nil if
	// nothing of that was kept.
	Attempt func(context.Context, *storage.DeliveryClaim) (context.Context, func(*storage.DeliveryOutcome))
}

// Times are how often and how long.
type Times struct {
	// Lease is how long a hook stays with a worker of which nothing is heard:
	// longer than a delivery, with what it takes to note how it went.
	Lease time.Duration
	// Pace is how often an idle worker looks for what is due.
	Pace time.Duration
	// Sweep is how often what has expired is forgotten.
	Sweep time.Duration
	// Answer is how long a receiver may take to answer.
	Answer time.Duration
	// Grace is how long a delivery under way may go on when work stops.
	Grace time.Duration
}

// Run works until the context is done, and returns when every delivery under way
// has ended or is back in the queue.
func (w *Workers) Run(ctx context.Context) {
	s := newSender(w.Reach, w.Agent)
	defer s.client.CloseIdleConnections()
	var all sync.WaitGroup
	defer all.Wait()
	all.Go(func() { leased.Each(ctx, w.Times.Sweep, w.sweep) })

	places := make(chan struct{}, w.Number)
	free := make(chan struct{}, 1) // a hook was just done with, and may have more
	for ctx.Err() == nil {
		select {
		case places <- struct{}{}:
		case <-ctx.Done():
			return
		}
		c, err := w.Queue.ClaimDelivery(ctx, w.Times.Lease)
		if err == nil {
			all.Go(func() {
				w.deliver(ctx, s, &c)
				<-places
				select {
				case free <- struct{}{}:
				default:
				}
			})
			continue
		}
		if !errors.Is(err, storage.ErrNotFound) && ctx.Err() == nil {
			w.Log.Warn("no event can be claimed", "error", err)
		}
		<-places
		select {
		case <-free:
		case <-time.After(w.Times.Pace):
		case <-ctx.Done():
		}
	}
}

func (w *Workers) sweep(ctx context.Context) {
	if err := w.Queue.SweepDeliveries(ctx); err != nil && ctx.Err() == nil {
		w.Log.Warn("deliveries were not swept", "error", err)
	}
}

func (w *Workers) deliver(ctx context.Context, s *sender, c *storage.DeliveryClaim) {
	log := w.Log.With("hook", c.Hook.ID, "workspace", c.Hook.Workspace, "event", c.Event.ID, "type", c.Event.Type, "attempt", c.Attempts)
	ctx, ended := w.Attempt(ctx, c)
	sending, cancel := context.WithTimeout(context.WithoutCancel(ctx), w.Times.Answer)
	defer cancel()
	defer context.AfterFunc(ctx, func() { time.AfterFunc(w.Times.Grace, cancel) })()

	start := time.Now()
	answer, err := w.send(sending, s, c)
	if err != nil && errors.Is(sending.Err(), context.Canceled) {
		leased.Settle(ctx, log, w.Times.Lease, w.Times.Pace, func(ctx context.Context) error { return w.Queue.ReleaseDelivery(ctx, *c) })
		log.Info("event put back")
		ended(nil)
		return
	}
	o := judge(c, answer, err, time.Now())
	log = log.With("state", o.State, "status", o.Status, "took", time.Since(start))
	if o.Error == "" {
		log.Info("event delivered")
	} else {
		log.Warn("event not delivered", "error", o.Error, "off", o.Off)
	}
	if leased.Settle(ctx, log, w.Times.Lease, w.Times.Pace, func(ctx context.Context) error { return w.Queue.EndDelivery(ctx, *c, o) }) {
		ended(&o)
	} else {
		ended(nil)
	}
}

func (w *Workers) send(ctx context.Context, s *sender, c *storage.DeliveryClaim) (reply, error) {
	body, err := w.Body(c.Hook.Workspace, &c.Event)
	if err != nil {
		return reply{}, err
	}
	return s.send(ctx, &message{url: c.Hook.URL, secret: c.Secret, id: c.Event.ID, body: body})
}
