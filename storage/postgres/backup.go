package postgres

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"time"

	"foldwright/storage/backup"

	"github.com/jackc/pgx/v5/stdlib"
)

var dialect = &backup.Dialect{
	Micros: func(column string) string { return "(extract(epoch FROM " + column + ") * 1000000)::bigint" },
	Time:   func(t time.Time) any { return t },
	Array:  func(column string) string { return "to_json(" + column + ")::text" },
	List:   func(texts []string, _ string) any { return texts },
	Place:  func(n int) string { return fmt.Sprintf("$%d", n) },
	Begin:  func(table string) string { return "LOCK TABLE " + table + " IN EXCLUSIVE MODE" },
}

var _ backup.Source = (*Store)(nil)

// Backup reads what was committed when its transaction read first; writers go
// on meanwhile.
func (s *Store) Backup(ctx context.Context, w io.Writer) (*backup.Manifest, error) {
	designs, err := designs()
	if err != nil {
		return nil, err
	}
	newest, err := designs.Newest()
	if err != nil {
		return nil, err
	}
	tx, err := s.standard.BeginTx(ctx, &sql.TxOptions{Isolation: sql.LevelRepeatableRead, ReadOnly: true})
	if err != nil {
		return nil, interpretError(ctx, err)
	}
	defer tx.Rollback() // it has only read
	m, err := backup.Write(ctx, w, tx, dialect, newest, s.options.Now())
	return m, interpretError(ctx, err)
}

// Restore puts a backup into the database at a URL, which must hold nothing
// yet.
func Restore(ctx context.Context, url string, from *backup.File) error {
	config, err := parse(url)
	if err != nil {
		return err
	}
	if err := checkServer(ctx, config.ConnConfig); err != nil {
		return interpretError(ctx, err)
	}
	s, err := designs()
	if err != nil {
		return err
	}
	db := stdlib.OpenDB(*config.ConnConfig)
	err = from.Restore(ctx, db, dialect, s)
	if errors.Is(err, backup.ErrNotEmpty) || errors.Is(err, backup.ErrDamaged) {
		return errors.Join(err, db.Close())
	}
	return errors.Join(interpretError(ctx, err), db.Close())
}
