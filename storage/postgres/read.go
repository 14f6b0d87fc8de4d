package postgres

import (
	"context"
	"errors"

	"foldwright/storage"
	"foldwright/storage/internal/keyset"

	"github.com/jackc/pgx/v5"
)

// rows reads, from the pool or inside a transaction.
type rows struct {
	db interface {
		Query(context.Context, string, ...any) (pgx.Rows, error)
		QueryRow(context.Context, string, ...any) pgx.Row
	}
}

func (r rows) Design(ctx context.Context, id string) (storage.Design, error) {
	return scanDesign(r.db.QueryRow(ctx, designSQL, id))
}

func (r rows) Designs(ctx context.Context, q storage.Query, end keyset.DesignEnd, n int) ([]storage.Design, error) {
	query, arguments := designsSQL, []any{q.Deleted, end.CreatedAt, end.ID, q.Search, n}
	if q.Tag != "" {
		query, arguments = designsTaggedSQL, append(arguments, q.Tag)
	}
	found, err := r.db.Query(ctx, query, arguments...)
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

func scanDesign(row pgx.Row) (storage.Design, error) {
	var d storage.Design
	err := row.Scan(&d.ID, &d.Title, &d.Tags, &d.Version, &d.CreatedAt, &d.UpdatedAt, &d.DeletedAt)
	if err != nil {
		return storage.Design{}, orNotFound(err)
	}
	d.CreatedAt, d.UpdatedAt = d.CreatedAt.UTC(), d.UpdatedAt.UTC()
	if d.DeletedAt != nil {
		*d.DeletedAt = d.DeletedAt.UTC()
	}
	return d, nil
}

func orNotFound(err error) error {
	if errors.Is(err, pgx.ErrNoRows) {
		return storage.ErrNotFound
	}
	return err
}
