package postgres

import (
	"context"
	"errors"
	"time"

	"foldwright/storage"
	"foldwright/storage/internal/keyset"
	"foldwright/storage/internal/rules"

	"github.com/jackc/pgx/v5"
)

// rows reads what one workspace holds, from the pool or inside a transaction.
type rows struct {
	db interface {
		Query(context.Context, string, ...any) (pgx.Rows, error)
		QueryRow(context.Context, string, ...any) pgx.Row
	}
	workspace string
}

func (r rows) Design(ctx context.Context, id string) (storage.Design, error) {
	return scanDesign(r.db.QueryRow(ctx, designSQL, id, r.workspace))
}

// sortKeys are what designs are sorted by, the titles as the index has them.
var sortKeys = map[string]string{"created": "created_at", "updated": "updated_at", "title": "left(title_folded, 60)"}

func (r rows) Designs(ctx context.Context, q storage.Query, after keyset.Place, n int) ([]storage.Design, error) {
	var from any = after.At
	if key, _ := q.Sort.By(); key == "title" {
		from = after.Title
	}
	query, arguments := designsSQL, []any{
		q.Deleted, from, after.ID, append([]string{}, q.Words()...), n, r.workspace, q.Since, q.Label,
	}
	if len(q.Tags) > 0 {
		query, arguments = designsTaggedSQL, append(arguments, q.Tags)
	}
	found, err := r.db.Query(ctx, keyset.Order(query, q.Sort, sortKeys), arguments...)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(found, func(row pgx.CollectableRow) (storage.Design, error) {
		return scanDesign(row)
	})
}

func (r rows) Version(ctx context.Context, id string, n int) (storage.Version, error) {
	v := storage.Version{DesignID: id, Number: n}
	err := r.db.QueryRow(ctx, versionSQL, id, n).
		Scan(&v.Hash, &v.CreatedAt, &v.Message, &v.Author, &v.Document)
	v.CreatedAt = v.CreatedAt.UTC()
	return v, orNotFound(err)
}

func (r rows) VersionHash(ctx context.Context, id string, n int) (hash string, err error) {
	err = r.db.QueryRow(ctx, versionHashSQL, id, n).Scan(&hash)
	return hash, orNotFound(err)
}

func (r rows) Versions(ctx context.Context, id string, below, n int) ([]storage.Version, error) {
	found, err := r.db.Query(ctx, versionsSQL, id, below, n)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(found, func(row pgx.CollectableRow) (storage.Version, error) {
		v := storage.Version{DesignID: id}
		err := row.Scan(&v.Number, &v.Hash, &v.CreatedAt, &v.Message, &v.Author)
		v.CreatedAt = v.CreatedAt.UTC()
		return v, err
	})
}

func (r rows) DesignsAfter(ctx context.Context, id string, n int) ([]storage.Design, error) {
	found, err := r.db.Query(ctx, designsAfterSQL, r.workspace, id, n)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(found, func(row pgx.CollectableRow) (storage.Design, error) { return scanDesign(row) })
}

func (r rows) Labels(ctx context.Context, designID string) ([]rules.Label, error) {
	found, err := r.db.Query(ctx, labelsSQL, designID)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(found, pgx.RowToStructByPos[rules.Label])
}

func (r rows) Keys(ctx context.Context) ([]storage.Key, error) {
	found, err := r.db.Query(ctx, keysSQL, r.workspace)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(found, func(row pgx.CollectableRow) (storage.Key, error) { return scanKey(row) })
}

func (r rows) Shares(ctx context.Context, designID string) ([]storage.Share, error) {
	found, err := r.db.Query(ctx, sharesSQL, designID)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(found, func(row pgx.CollectableRow) (storage.Share, error) { return scanShare(row) })
}

func (r rows) Usage(ctx context.Context) (u storage.Usage, err error) {
	return u, r.db.QueryRow(ctx, usageSQL, r.workspace).Scan(&u.Designs, &u.Versions, &u.Bytes)
}

func scanDesign(row pgx.Row, more ...any) (storage.Design, error) {
	var d storage.Design
	err := row.Scan(append([]any{&d.ID, &d.Title, &d.Tags, &d.Version, &d.CreatedAt, &d.UpdatedAt, &d.DeletedAt}, more...)...)
	if err != nil {
		return storage.Design{}, orNotFound(err)
	}
	inUTC(&d.CreatedAt, &d.UpdatedAt, d.DeletedAt)
	return d, nil
}

func scanKey(row pgx.Row) (storage.Key, error) {
	var k storage.Key
	err := row.Scan(&k.ID, &k.Workspace, &k.Name, &k.Scope, &k.Origins, &k.CreatedAt, &k.ExpiresAt, &k.LastUsedAt, &k.RevokedAt)
	if err != nil {
		return storage.Key{}, orNotFound(err)
	}
	inUTC(&k.CreatedAt, k.ExpiresAt, k.LastUsedAt, k.RevokedAt)
	return k, nil
}

func scanShare(row pgx.Row) (storage.Share, error) {
	var s storage.Share
	err := row.Scan(&s.ID, &s.Workspace, &s.DesignID, &s.Version, &s.Name, &s.CreatedAt, &s.ExpiresAt, &s.RevokedAt)
	if err != nil {
		return storage.Share{}, orNotFound(err)
	}
	inUTC(&s.CreatedAt, s.ExpiresAt, s.RevokedAt)
	return s, nil
}

// inUTC brings times to UTC, which the driver gives in the zone of the machine.
func inUTC(times ...*time.Time) {
	for _, t := range times {
		if t != nil {
			*t = t.UTC()
		}
	}
}

func orNotFound(err error) error {
	if errors.Is(err, pgx.ErrNoRows) {
		return storage.ErrNotFound
	}
	return err
}
