// Package leased is what those have in common who work on what a store leases
// to them.
package leased

import (
	"context"
	"errors"
	"log/slog"
	"time"

	"foldwright/storage"
)

// Each does something again and again until the context is done.
func Each(ctx context.Context, pause time.Duration, do func(context.Context)) {
	for ctx.Err() == nil {
		do(ctx)
		select {
		case <-ctx.Done():
		case <-time.After(pause):
		}
	}
}

// Settle writes how work went, also when the context is done already. A
// database that is away for a moment is tried again, each time after a pause,
// for as long as the lease lasts; after that the work is somebody else's.
func Settle(ctx context.Context, log *slog.Logger, lease, pause time.Duration, write func(context.Context) error) bool {
	limited, cancel := context.WithTimeout(context.WithoutCancel(ctx), lease)
	defer cancel()
	for {
		err := write(limited)
		switch {
		case err == nil:
			return true
		case errors.Is(err, storage.ErrConflict):
			return false
		case limited.Err() != nil || !errors.Is(err, storage.ErrUnavailable):
			log.Error("how work went was not kept", "error", err)
			return false
		}
		time.Sleep(pause)
	}
}
