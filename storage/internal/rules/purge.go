package rules

import (
	"context"
	"errors"
	"time"

	"foldwright/storage"
)

// A Purger finds what can be forgotten in all workspaces.
type Purger interface {
	// LongDeleted reads up to n designs that were deleted at a time or before.
	LongDeleted(ctx context.Context, by time.Time, n int) ([]Place, error)

	// ForgetKeys deletes up to n idempotency keys used before a time.
	ForgetKeys(ctx context.Context, before time.Time, n int) (int, error)

	// Within is a write transaction in a workspace.
	Within(workspace string) Atomically
}

// A Place is where a design is.
type Place struct{ Workspace, DesignID string }

// Purge is the rule of storage.Database.Purge. Each design has a transaction of
// its own, so that nobody waits for more than one to be forgotten.
func Purge(ctx context.Context, p Purger, o storage.Options, most int) (forgotten int, err error) {
	now := o.Now()
	if o.DeletedRetention > 0 {
		by := now.Add(-o.DeletedRetention)
		places, err := p.LongDeleted(ctx, by, most)
		if err != nil {
			return 0, err
		}
		for _, place := range places {
			did, err := forget(ctx, p.Within(place.Workspace), o, place.DesignID, by)
			if err != nil {
				return forgotten, err
			}
			if did {
				forgotten++
			}
		}
	}
	keys, err := p.ForgetKeys(ctx, now.Add(-storage.KeyRetention), most)
	return forgotten + keys, err
}

// forget looks again under the lock: the design may have been restored, or
// forgotten by somebody else.
func forget(ctx context.Context, atomically Atomically, o storage.Options, id string, by time.Time) (did bool, err error) {
	err = atomically(ctx, func(tx Tx) error {
		d, err := tx.LockDesign(ctx, id)
		if err != nil || d.DeletedAt == nil || d.DeletedAt.After(by) {
			return err
		}
		gone, err := tx.Forget(ctx, id)
		if err != nil {
			return err
		}
		did = true
		return grow(ctx, tx, o, storage.Usage{Versions: -gone.Versions, Bytes: -gone.Bytes})
	})
	if errors.Is(err, storage.ErrNotFound) {
		return false, nil
	}
	return did && err == nil, err
}
