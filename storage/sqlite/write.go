package sqlite

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"time"

	"foldwright/storage"
	"foldwright/storage/internal/hooks"
	"foldwright/storage/internal/rules"
)

// writes is one write transaction. It began as the only one, so reading a
// design is enough to lock it.
type writes struct {
	rows
	tx *sql.Tx
}

func (w writes) LockDesign(ctx context.Context, id string) (storage.Design, error) {
	return w.Design(ctx, id)
}

func (w writes) InsertDesign(ctx context.Context, d storage.Design) error {
	tags, err := json.Marshal(d.Tags)
	if err != nil {
		return err
	}
	err = w.exec(ctx, insertDesignSQL, d.ID, d.Title, storage.Fold(d.Title), string(tags),
		d.Version, d.CreatedAt.UnixMicro(), d.UpdatedAt.UnixMicro(), w.workspace)
	if err != nil {
		return err
	}
	return w.exec(ctx, insertTagsSQL, d.ID, d.CreatedAt.UnixMicro(), string(tags), w.workspace)
}

func (w writes) ClaimDesign(ctx context.Context, d storage.Design) (bool, error) {
	tags, err := json.Marshal(d.Tags)
	if err != nil {
		return false, err
	}
	result, err := w.tx.ExecContext(ctx, claimDesignSQL, d.ID, d.Title, storage.Fold(d.Title), string(tags),
		d.Version, d.CreatedAt.UnixMicro(), d.UpdatedAt.UnixMicro(), w.workspace, micros(d.DeletedAt))
	if err != nil {
		return false, err
	}
	if n, err := result.RowsAffected(); err != nil || n == 0 {
		return false, err
	}
	return true, w.exec(ctx, insertTagsSQL, d.ID, d.CreatedAt.UnixMicro(), string(tags), w.workspace)
}

func (w writes) UpdateDesign(ctx context.Context, d storage.Design) error {
	tags, err := json.Marshal(d.Tags)
	if err != nil {
		return err
	}
	err = w.exec(ctx, updateDesignSQL, d.ID, d.Title, storage.Fold(d.Title), string(tags),
		d.Version, d.UpdatedAt.UnixMicro())
	if err != nil {
		return err
	}
	if err := w.exec(ctx, dropTagsSQL, d.ID); err != nil {
		return err
	}
	return w.exec(ctx, insertTagsSQL, d.ID, d.CreatedAt.UnixMicro(), string(tags), w.workspace)
}

func (w writes) SetDeleted(ctx context.Context, id string, at *time.Time) error {
	return w.exec(ctx, setDeletedSQL, id, micros(at))
}

func (w writes) InsertVersion(ctx context.Context, v storage.Version) error {
	return w.exec(ctx, insertVersionSQL, v.DesignID, v.Number, v.Hash, v.CreatedAt.UnixMicro(),
		v.Message, v.Author, v.Document)
}

func (w writes) ClaimKey(ctx context.Context, use rules.KeyUse) (bool, error) {
	result, err := w.tx.ExecContext(ctx, claimKeySQL, use.Key, use.Fingerprint, use.DesignID,
		use.Version, use.At.UnixMicro(), w.workspace)
	if err != nil {
		return false, err
	}
	n, err := result.RowsAffected()
	return n == 1, err
}

func (w writes) KeyUse(ctx context.Context, key string) (rules.KeyUse, error) {
	use := rules.KeyUse{IdempotencyKey: storage.IdempotencyKey{Key: key}}
	var made int64
	err := w.tx.QueryRowContext(ctx, keyUseSQL, key, w.workspace).
		Scan(&use.Fingerprint, &use.DesignID, &use.Version, &made)
	use.At = at(made)
	return use, orNotFound(err)
}

func (w writes) Grow(ctx context.Context, by storage.Usage) (now storage.Usage, on int, err error) {
	err = w.tx.QueryRowContext(ctx, growSQL, w.workspace, by.Designs, by.Versions, by.Bytes).
		Scan(&now.Designs, &now.Versions, &now.Bytes, &on)
	return now, on, err
}

func (w writes) Announce(ctx context.Context, e storage.Event) error {
	arguments, err := hooks.Announcement(ctx, w.workspace, e)
	if err != nil {
		return err
	}
	return w.exec(ctx, hooks.AnnounceSQL, arguments...)
}

func (w writes) SetLabel(ctx context.Context, designID string, l rules.Label, at time.Time) error {
	return w.exec(ctx, setLabelSQL, designID, l.Name, l.Version, at.UnixMicro())
}

func (w writes) DropLabel(ctx context.Context, designID string, l rules.Label) error {
	return w.change(ctx, dropLabelSQL, designID, l.Name, l.Version)
}

func (w writes) Forget(ctx context.Context, designID string) (gone storage.Usage, err error) {
	if err := w.tx.QueryRowContext(ctx, measureSQL, designID).Scan(&gone.Versions, &gone.Bytes); err != nil {
		return storage.Usage{}, err
	}
	// What refers goes before what is referred to.
	for _, statement := range []string{
		forgetKeysOfSQL, forgetSharesSQL, forgetLabelsSQL, dropTagsSQL, forgetVersionsSQL, forgetDesignSQL,
	} {
		if err := w.exec(ctx, statement, designID); err != nil {
			return storage.Usage{}, err
		}
	}
	return gone, nil
}

func (w writes) CountKeys(ctx context.Context) (n int, err error) {
	return n, w.tx.QueryRowContext(ctx, countKeysSQL, w.workspace).Scan(&n)
}

func (w writes) InsertKey(ctx context.Context, k storage.Key, hash string) error {
	origins, err := json.Marshal(k.Origins)
	if err != nil {
		return err
	}
	return w.exec(ctx, insertKeySQL, k.ID, w.workspace, k.Name, string(k.Scope), string(origins), hash,
		k.CreatedAt.UnixMicro(), micros(k.ExpiresAt))
}

func (w writes) RevokeKey(ctx context.Context, id string, at time.Time) error {
	return w.change(ctx, revokeKeySQL, id, w.workspace, at.UnixMicro())
}

func (w writes) CountShares(ctx context.Context, designID string) (n int, err error) {
	return n, w.tx.QueryRowContext(ctx, countSharesSQL, designID).Scan(&n)
}

func (w writes) InsertShare(ctx context.Context, s storage.Share, hash string) error {
	return w.exec(ctx, insertShareSQL, s.ID, w.workspace, s.DesignID, s.Version, s.Name, hash,
		s.CreatedAt.UnixMicro(), micros(s.ExpiresAt))
}

func (w writes) RevokeShare(ctx context.Context, designID, id string, at time.Time) error {
	return w.change(ctx, revokeShareSQL, id, designID, w.workspace, at.UnixMicro())
}

// change is exec for a statement that finds its row or does nothing.
func (w writes) change(ctx context.Context, statement string, arguments ...any) error {
	result, err := w.tx.ExecContext(ctx, statement, arguments...)
	if err != nil {
		return err
	}
	if n, err := result.RowsAffected(); err != nil || n == 0 {
		return errors.Join(err, storage.ErrNotFound)
	}
	return nil
}

func (w writes) exec(ctx context.Context, statement string, arguments ...any) error {
	_, err := w.tx.ExecContext(ctx, statement, arguments...)
	return err
}

// micros is a time as it is kept; nil is none.
func micros(t *time.Time) *int64 {
	if t == nil {
		return nil
	}
	return new(t.UnixMicro())
}
