package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"time"

	"foldwright/storage/backup"
)

var dialect = &backup.Dialect{
	Micros: func(column string) string { return column },
	Time:   func(t time.Time) any { return t.UnixMicro() },
	Array:  func(column string) string { return column },
	List:   func(_ []string, asJSON string) any { return asJSON },
	Place:  func(int) string { return "?" },
	Derive: []string{deriveTagsSQL},
}

var _ backup.Source = (*Store)(nil)

// Backup reads what was committed when its transaction read first; writers go
// on meanwhile.
func (s *Store) Backup(ctx context.Context, w io.Writer) (*backup.Manifest, error) {
	newest, err := designs().Newest()
	if err != nil {
		return nil, err
	}
	tx, err := s.readers.BeginTx(ctx, nil)
	if err != nil {
		return nil, interpretError(ctx, err)
	}
	defer tx.Rollback() // it has only read
	m, err := backup.Write(ctx, w, tx, dialect, newest, s.options.Now())
	return m, interpretError(ctx, err)
}

// Restore makes the file and its folder if they are missing, and puts a backup
// into it, which must hold nothing yet.
func Restore(ctx context.Context, path string, from *backup.File) error {
	db, err := openWriter(path)
	if err != nil {
		return err
	}
	err = from.Restore(ctx, db, dialect, designs())
	if err == nil {
		err = checkIntegrity(ctx, db)
	}
	return errors.Join(interpretError(ctx, err), db.Close())
}

// checkIntegrity asks SQLite whether a file is sound, and every reference in it.
func checkIntegrity(ctx context.Context, db *sql.DB) error {
	var verdict string
	if err := db.QueryRowContext(ctx, "PRAGMA integrity_check(1)").Scan(&verdict); err != nil || verdict != "ok" {
		return errors.Join(err, fmt.Errorf("the file is not sound: %s", verdict))
	}
	dangling, err := db.QueryContext(ctx, "PRAGMA foreign_key_check")
	if err != nil {
		return err
	}
	defer dangling.Close()
	if dangling.Next() {
		return errors.New("the file refers to what it does not hold")
	}
	return dangling.Err()
}
