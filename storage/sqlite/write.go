package sqlite

import (
	"context"
	"database/sql"
	"encoding/json"
	"time"

	"foldwright/storage"
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
		d.Version, d.CreatedAt.UnixMicro(), d.UpdatedAt.UnixMicro())
	if err != nil {
		return err
	}
	return w.exec(ctx, insertTagsSQL, d.ID, d.CreatedAt.UnixMicro(), string(tags))
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
	return w.exec(ctx, insertTagsSQL, d.ID, d.CreatedAt.UnixMicro(), string(tags))
}

func (w writes) SetDeleted(ctx context.Context, id string, at *time.Time) error {
	var micros *int64
	if at != nil {
		micros = new(at.UnixMicro())
	}
	return w.exec(ctx, setDeletedSQL, id, micros)
}

func (w writes) InsertVersion(ctx context.Context, v storage.Version) error {
	return w.exec(ctx, insertVersionSQL, v.DesignID, v.Number, v.Hash, v.CreatedAt.UnixMicro(),
		v.Message, v.Author, v.Document)
}

func (w writes) ClaimKey(ctx context.Context, use rules.KeyUse) (bool, error) {
	result, err := w.tx.ExecContext(ctx, claimKeySQL, use.Key, use.Fingerprint, use.DesignID,
		use.Version, use.At.UnixMicro())
	if err != nil {
		return false, err
	}
	n, err := result.RowsAffected()
	return n == 1, err
}

func (w writes) KeyUse(ctx context.Context, key string) (rules.KeyUse, error) {
	use := rules.KeyUse{IdempotencyKey: storage.IdempotencyKey{Key: key}}
	var made int64
	err := w.tx.QueryRowContext(ctx, keyUseSQL, key).
		Scan(&use.Fingerprint, &use.DesignID, &use.Version, &made)
	use.At = at(made)
	return use, orNotFound(err)
}

func (w writes) exec(ctx context.Context, statement string, arguments ...any) error {
	_, err := w.tx.ExecContext(ctx, statement, arguments...)
	return err
}
