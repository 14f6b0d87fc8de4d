package jobs

import (
	"context"
	"errors"
	"sync"
	"time"

	"foldwright/storage"
)

// keeper keeps a claim while its job is worked on, and writes the progress. It
// goes on while work that was told to stop has not stopped yet, so that nobody
// takes over what is not put back.
type keeper struct {
	workers *Workers
	claim   *storage.JobClaim
	lose    context.CancelCauseFunc
	quit    chan struct{}
	ended   chan struct{}

	mu       sync.Mutex
	progress storage.JobProgress
}

// keep begins to keep a claim. The context it returns is for the work, and ends
// when the claim is lost.
func (w *Workers) keep(ctx context.Context, c *storage.JobClaim) (*keeper, context.Context) {
	k := &keeper{workers: w, claim: c, quit: make(chan struct{}), ended: make(chan struct{})}
	work, lose := context.WithCancelCause(ctx)
	k.lose = lose
	go func() {
		defer close(k.ended)
		k.run(context.WithoutCancel(ctx))
	}()
	return k, work
}

func (k *keeper) run(ctx context.Context) {
	until := time.Now().Add(k.workers.Times.Lease)
	tick := time.NewTicker(k.workers.Times.Pace)
	defer tick.Stop()
	for {
		select {
		case <-k.quit:
			return
		case <-tick.C:
		}
		at := time.Now()
		limited, cancel := context.WithDeadline(ctx, until)
		err := k.workers.Queue.KeepJob(limited, *k.claim, k.noted(), k.workers.Times.Lease)
		cancel()
		switch {
		case err == nil:
			until = at.Add(k.workers.Times.Lease)
		case errors.Is(err, storage.ErrConflict), time.Now().After(until):
			k.lose(ErrLost)
			return
		}
	}
}

// note is told the progress of the work, as often as it likes.
func (k *keeper) note(done, of int) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.progress = storage.JobProgress{Done: done, Of: of}
}

func (k *keeper) noted() storage.JobProgress {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.progress
}

// stop waits until nothing is written any more.
func (k *keeper) stop() {
	close(k.quit)
	<-k.ended
	k.lose(nil)
}
