package rules

import (
	"context"
	"time"

	"foldwright/storage"
)

// AddKey is the rule of storage.Store.AddKey.
func AddKey(ctx context.Context, atomically Atomically, o storage.Options, workspace string, nk storage.NewKey) (storage.Key, error) {
	if err := nk.Validate(); err != nil {
		return storage.Key{}, err
	}
	k := storage.Key{
		ID: o.NewID(), Workspace: workspace, Name: nk.Name, Scope: nk.Scope,
		Origins: append([]string{}, nk.Origins...), CreatedAt: o.Now(), ExpiresAt: micros(nk.ExpiresAt),
	}
	return k, atomically(ctx, func(tx Tx) error {
		// Growing by nothing locks the workspace, so that no other key is
		// made between counting and inserting.
		if _, _, err := tx.Grow(ctx, storage.Usage{}); err != nil {
			return err
		}
		if n, err := tx.CountKeys(ctx); err != nil {
			return err
		} else if n >= storage.MaxKeys {
			return &storage.QuotaError{What: "keys", Limit: storage.MaxKeys}
		}
		return tx.InsertKey(ctx, k, nk.Hash)
	})
}

// RevokeKey is the rule of storage.Store.RevokeKey.
func RevokeKey(ctx context.Context, atomically Atomically, o storage.Options, id string) error {
	if !storage.ValidText(id) {
		return storage.ErrNotFound
	}
	return atomically(ctx, func(tx Tx) error { return tx.RevokeKey(ctx, id, o.Now()) })
}

// useNoted is how long a use of a key is not noted again: a write for each
// request would cost far more than the request.
const useNoted = time.Minute

// NoteUse tells whether a use of a key found now is to be noted.
func NoteUse(k storage.Key, now time.Time) bool {
	return k.Live(now) && (k.LastUsedAt == nil || now.Sub(*k.LastUsedAt) >= useNoted)
}

// micros brings a caller's time to what every database keeps.
func micros(t *time.Time) *time.Time {
	if t == nil {
		return nil
	}
	return new(t.UTC().Truncate(time.Microsecond))
}
