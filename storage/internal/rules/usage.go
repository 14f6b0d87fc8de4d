package rules

import (
	"context"

	"foldwright/storage"
)

// grow counts what a transaction adds to its workspace, and refuses what passes
// the quota. A workspace that has passed a bound already, because the bound was
// lowered, may still shrink or grow in what it has room for.
//
// It locks the workspace, which every change shares, so it comes last: the lock
// is held for a commit only, and cannot be waited for by who holds another.
func grow(ctx context.Context, tx Tx, o storage.Options, by storage.Usage) error {
	now, err := tx.Grow(ctx, by)
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
	return nil
}
