package postgres

import (
	"context"
	"embed"
	"errors"
	"io/fs"

	"foldwright/storage/internal/schema"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"
	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/lock"
)

//go:embed migrations/*.sql
var migrations embed.FS

// lockID is the advisory lock that migrating replicas take turns at. Another
// program in the same database would choose another number; this one spells
// "foldwrig".
const lockID = 0x666f6c6477726967

// A replica that finds the lock taken looks again each second, for long enough
// to sit out a migration that rewrites a table.
const (
	lockSeconds  = 1
	lockAttempts = 15 * 60
)

func designs() (schema.Schema, error) {
	files, err := fs.Sub(migrations, "migrations")
	if err != nil {
		return schema.Schema{}, err
	}
	locker, err := lock.NewPostgresSessionLocker(
		lock.WithLockID(lockID),
		lock.WithLockTimeout(lockSeconds, lockAttempts),
	)
	return schema.Schema{
		Dialect:    goose.DialectPostgres,
		Migrations: files,
		Options:    []goose.ProviderOption{goose.WithSessionLocker(locker)},
		Exists:     tableExistsSQL,
	}, err
}

// Migrate brings the database at a URL to the schema this program was built
// for. Several replicas may do so at once: one works, the others wait for it.
func Migrate(ctx context.Context, url string) error {
	config, err := parse(url)
	if err != nil {
		return err
	}
	if err := checkServer(ctx, config.ConnConfig); err != nil {
		return interpretError(ctx, err)
	}
	return interpretError(ctx, migrate(ctx, config.ConnConfig))
}

// migrate uses connections of its own, so that however small the pool is, the
// one that holds the lock cannot starve the one that works.
func migrate(ctx context.Context, config *pgx.ConnConfig) error {
	s, err := designs()
	if err != nil {
		return err
	}
	db := stdlib.OpenDB(*config)
	return errors.Join(s.Up(ctx, db), db.Close())
}

func checkSchema(ctx context.Context, config *pgx.ConnConfig) error {
	s, err := designs()
	if err != nil {
		return err
	}
	db := stdlib.OpenDB(*config)
	return errors.Join(s.Check(ctx, db), db.Close())
}
