package postgres

import (
	"context"
	"time"

	"foldwright/storage"
	"foldwright/storage/internal/hooks"
	"foldwright/storage/internal/rules"
)

// writes is one write transaction.
type writes struct {
	rows
	tx     *pipeline
	quota  storage.Quota
	owns   bool // the workspace, which it shares otherwise
	locked *locked
}

// locked is the design that was locked last.
type locked struct {
	id      string
	version int
	hash    *string // of that version; nil where it was not seen
}

// LockDesign remembers the hash of the newest version, which is asked for next.
// Where another transaction has changed the design while the lock was waited for,
// the statement does not see that version, and there is none.
func (w writes) LockDesign(ctx context.Context, id string) (d storage.Design, err error) {
	d, err = scanDesign(w.tx.QueryRow(ctx, lockDesignSQL, id, w.workspace), &w.locked.hash)
	w.locked.id, w.locked.version = d.ID, d.Version
	return d, err
}

func (w writes) VersionHash(ctx context.Context, id string, n int) (string, error) {
	if l := w.locked; l.hash != nil && l.id == id && l.version == n {
		return *l.hash, nil
	}
	return w.rows.VersionHash(ctx, id, n)
}

func (w writes) InsertDesign(ctx context.Context, d storage.Design) error {
	return w.exec(ctx, insertDesignSQL, d.ID, d.Title, storage.Fold(d.Title), d.Tags,
		d.Version, d.CreatedAt, d.UpdatedAt, w.workspace)
}

func (w writes) ClaimDesign(ctx context.Context, d storage.Design) (bool, error) {
	tag, err := w.tx.Exec(ctx, claimDesignSQL, d.ID, d.Title, storage.Fold(d.Title), d.Tags,
		d.Version, d.CreatedAt, d.UpdatedAt, w.workspace, d.DeletedAt)
	return tag.RowsAffected() == 1, err
}

func (w writes) UpdateDesign(ctx context.Context, d storage.Design) error {
	return w.exec(ctx, updateDesignSQL, d.ID, d.Title, storage.Fold(d.Title), d.Tags,
		d.Version, d.UpdatedAt)
}

func (w writes) SetDeleted(ctx context.Context, id string, at *time.Time) error {
	return w.exec(ctx, setDeletedSQL, id, at)
}

func (w writes) InsertVersion(ctx context.Context, v storage.Version) error {
	return w.exec(ctx, insertVersionSQL, v.DesignID, v.Number, v.Hash, v.CreatedAt,
		v.Message, v.Author, v.Document)
}

func (w writes) ClaimKey(ctx context.Context, use rules.KeyUse) (bool, error) {
	tag, err := w.tx.Exec(ctx, claimKeySQL, use.Key, use.Fingerprint, use.DesignID, use.Version, use.At, w.workspace)
	return tag.RowsAffected() == 1, err
}

func (w writes) KeyUse(ctx context.Context, key string) (rules.KeyUse, error) {
	use := rules.KeyUse{IdempotencyKey: storage.IdempotencyKey{Key: key}}
	err := w.tx.QueryRow(ctx, keyUseSQL, key, w.workspace).
		Scan(&use.Fingerprint, &use.DesignID, &use.Version, &use.At)
	use.At = use.At.UTC()
	return use, orNotFound(err)
}

func (w writes) Announce(ctx context.Context, e storage.Event) error {
	arguments, err := hooks.Announcement(ctx, w.workspace, e)
	if err != nil {
		return err
	}
	return w.exec(ctx, hooks.AnnounceSQL, arguments...)
}

func (w writes) SetLabel(ctx context.Context, designID string, l rules.Label, at time.Time) error {
	return w.exec(ctx, setLabelSQL, designID, l.Name, l.Version, at)
}

func (w writes) DropLabel(ctx context.Context, designID string, l rules.Label) error {
	return w.change(ctx, dropLabelSQL, designID, l.Name, l.Version)
}

func (w writes) Forget(ctx context.Context, designID string) (gone storage.Usage, err error) {
	if err := w.tx.QueryRow(ctx, measureSQL, designID).Scan(&gone.Versions, &gone.Bytes); err != nil {
		return storage.Usage{}, err
	}
	// What refers goes before what is referred to.
	for _, statement := range []string{
		forgetKeysOfSQL, forgetSharesSQL, forgetLabelsSQL, forgetVersionsSQL, forgetDesignSQL,
	} {
		if err := w.exec(ctx, statement, designID); err != nil {
			return storage.Usage{}, err
		}
	}
	return gone, nil
}

func (w writes) CountKeys(ctx context.Context) (n int, err error) {
	return n, w.tx.QueryRow(ctx, countKeysSQL, w.workspace).Scan(&n)
}

func (w writes) InsertKey(ctx context.Context, k storage.Key, hash string) error {
	return w.exec(ctx, insertKeySQL, k.ID, w.workspace, k.Name, k.Scope, k.Origins, hash, k.CreatedAt, k.ExpiresAt)
}

func (w writes) RevokeKey(ctx context.Context, id string, at time.Time) error {
	return w.change(ctx, revokeKeySQL, id, w.workspace, at)
}

func (w writes) CountShares(ctx context.Context, designID string) (n int, err error) {
	return n, w.tx.QueryRow(ctx, countSharesSQL, designID).Scan(&n)
}

func (w writes) InsertShare(ctx context.Context, s storage.Share, hash string) error {
	return w.exec(ctx, insertShareSQL, s.ID, w.workspace, s.DesignID, s.Version, s.Name, hash, s.CreatedAt, s.ExpiresAt)
}

func (w writes) RevokeShare(ctx context.Context, designID, id string, at time.Time) error {
	return w.change(ctx, revokeShareSQL, id, designID, w.workspace, at)
}

// change is exec for a statement that finds its row or does nothing.
func (w writes) change(ctx context.Context, statement string, arguments ...any) error {
	tag, err := w.tx.Exec(ctx, statement, arguments...)
	if err == nil && tag.RowsAffected() == 0 {
		return storage.ErrNotFound
	}
	return err
}

func (w writes) exec(ctx context.Context, statement string, arguments ...any) error {
	w.tx.later(statement, arguments...)
	return nil
}
