package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"foldwright/storage"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// interpretError puts what SQLite says into the words of the contract.
func interpretError(ctx context.Context, err error) error {
	if err == nil || storage.IsAnswer(err) {
		return err
	}
	if errors.Is(err, sql.ErrNoRows) {
		return storage.ErrNotFound
	}
	// A call that the context ended fails with whatever it was doing then.
	if errors.Is(ctx.Err(), context.DeadlineExceeded) {
		return fmt.Errorf("%w: %w", storage.ErrUnavailable, ctx.Err())
	}
	if ctx.Err() != nil {
		return fmt.Errorf("sqlite: %w", ctx.Err())
	}
	if failed, ok := errors.AsType[*sqlite.Error](err); ok && unavailable(failed.Code()) {
		return fmt.Errorf("%w: %w", storage.ErrUnavailable, err)
	}
	return fmt.Errorf("sqlite: %w", err)
}

func unavailable(code int) bool {
	// The low byte is the primary code, the rest says more about it.
	switch code & 0xff {
	case sqlite3.SQLITE_BUSY, // another process kept the lock for the whole timeout
		sqlite3.SQLITE_LOCKED,
		sqlite3.SQLITE_PROTOCOL, // lost too many races for the log's locks
		sqlite3.SQLITE_FULL,     // the disk
		sqlite3.SQLITE_IOERR,
		sqlite3.SQLITE_CANTOPEN,
		sqlite3.SQLITE_READONLY,
		sqlite3.SQLITE_INTERRUPT:
		return true
	}
	return false
}
