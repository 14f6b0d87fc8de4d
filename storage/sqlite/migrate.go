package sqlite

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"io/fs"

	"foldwright/storage/internal/schema"

	"github.com/pressly/goose/v3"
)

//go:embed migrations/*.sql
var migrations embed.FS

func designs() schema.Schema {
	files, err := fs.Sub(migrations, "migrations")
	if err != nil {
		panic(err) // the folder is compiled in
	}
	return schema.Schema{Dialect: goose.DialectSQLite3, Migrations: files, Exists: tableExistsSQL}
}

// Migrate makes the file and its folder if they are missing, and brings it to
// the schema this program was built for.
func Migrate(ctx context.Context, path string) error {
	db, err := openWriter(path)
	if err != nil {
		return err
	}
	return errors.Join(interpretError(ctx, migrate(ctx, db)), db.Close())
}

// migrate is safe with other processes that migrate the same file. SQLite has
// no lock for a whole row of migrations, but each is one transaction that
// cannot run twice: whoever comes second fails without a trace and only needs
// to look again. It can come second once for every migration.
func migrate(ctx context.Context, db *sql.DB) error {
	s := designs()
	newest, err := s.Newest()
	if err != nil {
		return err
	}
	for range newest + 1 {
		if err = s.Up(ctx, db); err == nil {
			return nil
		}
	}
	return err
}
