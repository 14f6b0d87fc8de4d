package backup

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"io"

	"foldwright/storage"
	"foldwright/storage/internal/schema"
)

// Restore puts a backup into a database that holds nothing, and brings it to
// the schema of this release. All rows come in one transaction: whoever is
// killed leaves the database empty or whole. ErrNotEmpty; storage.ErrSchema: a
// newer release made the backup.
func (f *File) Restore(ctx context.Context, db *sql.DB, d *Dialect, s schema.Schema) error {
	newest, err := s.Newest()
	if err != nil {
		return err
	}
	if f.Schema > newest {
		return fmt.Errorf("%w: the backup has version %d, this program knows %d; use the release that made it, or a newer one",
			storage.ErrSchema, f.Schema, newest)
	}
	// An older backup goes into the schema it was made of, which then moves on.
	if err := s.UpTo(ctx, db, f.Schema); err != nil {
		return err
	}
	switch now, err := s.Version(ctx, db); {
	case err != nil:
		return err
	case now != f.Schema:
		return fmt.Errorf("%w: it has version %d already, the backup %d; restore into a new database, which no command has opened yet",
			storage.ErrSchema, now, f.Schema)
	}
	if err := f.load(ctx, db, d); err != nil {
		return err
	}
	return s.Up(ctx, db)
}

func (f *File) load(ctx context.Context, db *sql.DB, d *Dialect) error {
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback() // does nothing after a commit
	for i := range f.Tables {
		if err := empty(ctx, tx, d, f.Tables[i].Name); err != nil {
			return err
		}
	}
	for i := range f.Tables {
		if err := f.loadTable(ctx, tx, d, &f.Tables[i]); err != nil {
			return fmt.Errorf("table %s: %w", f.Tables[i].Name, err)
		}
	}
	for _, statement := range d.Derive {
		if _, err := tx.ExecContext(ctx, statement); err != nil {
			return err
		}
	}
	return tx.Commit()
}

// empty makes sure that a table has no rows, and stays so for others.
func empty(ctx context.Context, tx *sql.Tx, d *Dialect, table string) error {
	if d.Begin != nil {
		if _, err := tx.ExecContext(ctx, d.Begin(table)); err != nil {
			return err
		}
	}
	// A migration leaves the first workspace behind, with nothing in it.
	query := "SELECT EXISTS (SELECT 1 FROM " + table + ")"
	if table == "workspaces" {
		query = "SELECT EXISTS (SELECT 1 FROM workspaces WHERE designs <> 0 OR versions <> 0)"
	}
	var some bool
	if err := tx.QueryRowContext(ctx, query).Scan(&some); err != nil {
		return err
	}
	if some {
		return fmt.Errorf("%w (the table %s has rows)", ErrNotEmpty, table)
	}
	_, err := tx.ExecContext(ctx, "DELETE FROM "+table)
	return err
}

func (f *File) loadTable(ctx context.Context, tx *sql.Tx, d *Dialect, t *Written) error {
	insert := d.inserts(&t.Table)
	arguments := make([]any, len(t.Columns))
	return f.rows(t, io.Discard, func(row []json.RawMessage) error {
		for i, c := range t.Columns {
			var err error
			if arguments[i], err = d.argument(c.Kind, row[i]); err != nil {
				return fmt.Errorf("%w: column %s: %w", ErrDamaged, c.Name, err)
			}
		}
		_, err := tx.ExecContext(ctx, insert, arguments...)
		return err
	})
}
