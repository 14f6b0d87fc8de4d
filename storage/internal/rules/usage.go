package rules

import (
	"context"

	"foldwright/storage"
)

// grow counts what a transaction adds to its workspace, refuses what passes the
// quota, and tells the hooks that are on of what it did. A workspace that has passed a bound already, because the bound was
// lowered, may still shrink or grow in what it has room for.
//
// It may lock the workspace, which every change shares, so it comes last: the lock
// is held for a commit only, and cannot be waited for by who holds another.
func grow(ctx context.Context, tx Tx, o storage.Options, by storage.Usage, did ...storage.Event) error {
	now, hooks, err := tx.Grow(ctx, by)
	if err != nil {
		return err
	}
	for _, bound := range []struct {
		what           string
		by, now, limit int64
	}{
		{"designs", by.Designs, now.Designs, o.Quota.Designs},
		{"versions", by.Versions, now.Versions, o.Quota.Versions},
		{"bytes", by.Bytes, now.Bytes, o.Quota.Bytes},
	} {
		if bound.by > 0 && bound.limit > 0 && bound.now > bound.limit {
			return &storage.QuotaError{What: bound.what, Limit: bound.limit}
		}
	}
	for _, e := range did {
		if hooks == 0 {
			break
		}
		e.ID = o.NewID()
		if err := tx.Announce(ctx, e); err != nil {
			return err
		}
	}
	return nil
}

// event is one of a version.
func event(t storage.EventType, v storage.Version) storage.Event {
	return storage.Event{Type: t, At: v.CreatedAt, About: storage.EventAbout{Design: v.DesignID, Version: v.Number, Hash: v.Hash}}
}
