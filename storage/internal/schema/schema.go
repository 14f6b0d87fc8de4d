package schema

import (
	"context"
	"database/sql"
	"fmt"
	"io/fs"

	"foldwright/storage"

	"github.com/pressly/goose/v3"
)

// table holds the history of migrations. Its name is part of every released
// database.
const table = "schema_version"

// A Schema is a numbered row of migrations for one kind of database.
type Schema struct {
	Dialect    goose.Dialect
	Migrations fs.FS
	Options    []goose.ProviderOption

	// Exists is a statement that returns whether there is a table of the
	// name given as its only argument.
	Exists string
}

func (s Schema) provider(db *sql.DB) (*goose.Provider, error) {
	return goose.NewProvider(s.Dialect, db, s.Migrations, append([]goose.ProviderOption{
		goose.WithTableName(table),
		goose.WithDisableGlobalRegistry(true),
	}, s.Options...)...)
}

// Up applies what is missing.
func (s Schema) Up(ctx context.Context, db *sql.DB) error {
	p, err := s.provider(db)
	if err != nil {
		return err
	}
	_, err = p.Up(ctx)
	return err
}

// UpTo applies what is missing up to a version, as an earlier release of this
// program would have done.
func (s Schema) UpTo(ctx context.Context, db *sql.DB, version int64) error {
	p, err := s.provider(db)
	if err != nil {
		return err
	}
	_, err = p.UpTo(ctx, version)
	return err
}

// Newest returns the version that Up leads to.
func (s Schema) Newest() (int64, error) {
	p, err := s.provider(new(sql.DB))
	if err != nil {
		return 0, err
	}
	sources := p.ListSources()
	return sources[len(sources)-1].Version, nil
}

// Check returns storage.ErrSchema unless the database is at the newest
// version. It only reads, so that it needs no right to make tables.
func (s Schema) Check(ctx context.Context, db *sql.DB) error {
	want, err := s.Newest()
	if err != nil {
		return err
	}
	have, err := s.Version(ctx, db)
	if err != nil {
		return err
	}
	if have != want {
		return fmt.Errorf("%w: it has version %d, this program needs %d", storage.ErrSchema, have, want)
	}
	return nil
}

// Version is that of a database, 0 where there is none. It only reads.
func (s Schema) Version(ctx context.Context, db *sql.DB) (have int64, err error) {
	var exists bool
	if err := db.QueryRowContext(ctx, s.Exists, table).Scan(&exists); err != nil || !exists {
		return 0, err
	}
	err = db.QueryRowContext(ctx, "SELECT coalesce(max(version_id), 0) FROM "+table).Scan(&have)
	return have, err
}
