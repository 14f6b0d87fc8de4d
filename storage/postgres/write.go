package postgres

import (
	"context"
	"time"

	"foldwright/storage"
	"foldwright/storage/internal/rules"

	"github.com/jackc/pgx/v5"
)

// writes is one write transaction.
type writes struct {
	rows
	tx pgx.Tx
}

func (w writes) LockDesign(ctx context.Context, id string) (storage.Design, error) {
	return scanDesign(w.tx.QueryRow(ctx, lockDesignSQL, id))
}

func (w writes) InsertDesign(ctx context.Context, d storage.Design) error {
	return w.exec(ctx, insertDesignSQL, d.ID, d.Title, storage.Fold(d.Title), d.Tags,
		d.Version, d.CreatedAt, d.UpdatedAt)
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
	tag, err := w.tx.Exec(ctx, claimKeySQL, use.Key, use.Fingerprint, use.DesignID, use.Version, use.At)
	return tag.RowsAffected() == 1, err
}

func (w writes) KeyUse(ctx context.Context, key string) (rules.KeyUse, error) {
	use := rules.KeyUse{IdempotencyKey: storage.IdempotencyKey{Key: key}}
	err := w.tx.QueryRow(ctx, keyUseSQL, key).
		Scan(&use.Fingerprint, &use.DesignID, &use.Version, &use.At)
	use.At = use.At.UTC()
	return use, orNotFound(err)
}

func (w writes) exec(ctx context.Context, statement string, arguments ...any) error {
	_, err := w.tx.Exec(ctx, statement, arguments...)
	return err
}
