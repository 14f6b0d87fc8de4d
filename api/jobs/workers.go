package jobs

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"runtime/debug"
	"sync"
	"time"

	"foldwright/api/leased"
	"foldwright/storage"
)

// Workers do the jobs of a queue, a number of them at once.
type Workers struct {
	Queue  storage.JobQueue
	Number int
	Times  Times
	Log    *slog.Logger

	// Do does a job and returns its result. It heeds the context, and may tell
	// how far it is at any time.
	Do func(ctx context.Context, job *storage.JobClaim, progress func(done, of int)) ([]byte, error)
	// Problem is what is kept of an error.
	Problem func(error) []byte
	// Attempt is told of every job that is claimed. The work goes on in the
	// context it returns, and how it went is told to the function it returns.
	Attempt func(ctx context.Context, job *storage.JobClaim) (context.Context, func(Outcome))
	// Ended is told of every job that ends.
	Ended func(job *storage.Job, state storage.JobState)
}

// Times are how often and how long.
type Times struct {
	// Lease is how long a job stays with a worker of which nothing is heard.
	Lease time.Duration
	// Pace is how often a claim is kept, progress written and a cancelling
	// noticed; and how often an idle worker looks for a job.
	Pace time.Duration
	// Sweep is how often what has expired is forgotten.
	Sweep time.Duration
	// Budget is the longest a job may run.
	Budget time.Duration
}

// ErrKilled is why a job fails whose workers were all lost at work on it.
var ErrKilled = errors.New("jobs: every worker of the job was lost")

// ErrLost is the cause of a context whose job is no longer the worker's.
var ErrLost = errors.New("jobs: the job was cancelled, or taken over")

// Run works until the context is done, and returns when every job at work has
// stopped and is back in the queue.
func (w *Workers) Run(ctx context.Context) {
	var all sync.WaitGroup
	for range w.Number {
		all.Go(func() { leased.Each(ctx, w.Times.Pace, w.workOff) })
	}
	all.Go(func() { leased.Each(ctx, w.Times.Sweep, w.sweep) })
	all.Wait()
}

// workOff does jobs until there are none.
func (w *Workers) workOff(ctx context.Context) {
	for ctx.Err() == nil {
		c, err := w.Queue.ClaimJob(ctx, w.Times.Lease)
		if err != nil {
			if !errors.Is(err, storage.ErrNotFound) && ctx.Err() == nil {
				w.Log.Warn("no job can be claimed", "error", err)
			}
			return
		}
		w.work(ctx, &c)
	}
}

func (w *Workers) sweep(ctx context.Context) {
	failed, err := w.Queue.SweepJobs(ctx, w.Problem(ErrKilled))
	if err != nil && ctx.Err() == nil {
		w.Log.Warn("jobs were not swept", "error", err)
	}
	for i := range failed {
		w.Log.Error("job failed", "job", failed[i].ID, "operation", failed[i].Operation, "error", ErrKilled)
		w.Ended(&failed[i], storage.JobFailed)
	}
}

func (w *Workers) work(ctx context.Context, c *storage.JobClaim) {
	log := w.Log.With("job", c.ID, "operation", c.Operation, "workspace", c.Workspace, "attempt", c.Attempts)
	start := time.Now()
	limited, stop := context.WithTimeout(ctx, w.Times.Budget)
	defer stop()
	k, kept := w.keep(limited, c)
	working, ended := w.Attempt(kept, c)
	log.InfoContext(working, "job started")
	result, err := w.do(working, c, k.note)
	k.stop()
	outcome := Done
	switch {
	case errors.Is(context.Cause(kept), ErrLost):
		outcome = Lost
	case err != nil && ctx.Err() != nil:
		outcome = PutBack
		w.settle(working, log, func(ctx context.Context) error { return w.Queue.ReleaseJob(ctx, *c) })
	case err != nil:
		outcome = Failed
		log = log.With("error", err)
		w.end(working, log, c, storage.JobOutcome{State: storage.JobFailed, Progress: k.noted(), Problem: w.Problem(err)})
	default:
		w.end(working, log, c, storage.JobOutcome{State: storage.JobDone, Progress: k.noted(), Result: result})
	}
	log.InfoContext(working, "job "+string(outcome), "took", time.Since(start))
	ended(outcome)
}

// An Outcome is how a worker's attempt at a job went.
type Outcome string

// Outcomes of an attempt.
const (
	Done    Outcome = "done"
	Failed  Outcome = "failed"
	Lost    Outcome = "lost" // to somebody else, or to a cancelling
	PutBack Outcome = "put back"
)

// Outcomes lists them all.
func Outcomes() []Outcome { return []Outcome{Done, Failed, Lost, PutBack} }

func (w *Workers) end(ctx context.Context, log *slog.Logger, c *storage.JobClaim, o storage.JobOutcome) {
	if w.settle(ctx, log, func(ctx context.Context) error { return w.Queue.EndJob(ctx, *c, o) }) {
		w.Ended(&c.Job, o.State)
	}
}

// do turns a panic into an error, with the stack in the log.
func (w *Workers) do(ctx context.Context, c *storage.JobClaim, note func(done, of int)) (result []byte, err error) {
	defer func() {
		if cause := recover(); cause != nil {
			w.Log.ErrorContext(ctx, "panic", "job", c.ID, "cause", fmt.Sprint(cause), "stack", string(debug.Stack()))
			err = fmt.Errorf("jobs: panic: %v", cause)
		}
	}()
	return w.Do(ctx, c, note)
}

func (w *Workers) settle(ctx context.Context, log *slog.Logger, write func(context.Context) error) bool {
	return leased.Settle(ctx, log, w.Times.Lease, w.Times.Pace, write)
}
