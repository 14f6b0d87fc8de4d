package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"testing"

	"foldwright/storage"

	sqlite3 "modernc.org/sqlite/lib"
)

func TestUnavailable(t *testing.T) {
	for code, want := range map[int]bool{
		sqlite3.SQLITE_BUSY:              true,
		sqlite3.SQLITE_BUSY | 2<<8:       true, // BUSY_SNAPSHOT: the extended code says more
		sqlite3.SQLITE_IOERR | 4<<8:      true, // IOERR_FSYNC
		sqlite3.SQLITE_FULL:              true,
		sqlite3.SQLITE_CANTOPEN:          true,
		sqlite3.SQLITE_READONLY:          true,
		sqlite3.SQLITE_ERROR:             false,
		sqlite3.SQLITE_CORRUPT:           false, // waiting will not help
		sqlite3.SQLITE_NOTADB:            false,
		sqlite3.SQLITE_CONSTRAINT:        false,
		sqlite3.SQLITE_CONSTRAINT | 8<<8: false,
	} {
		if got := unavailable(code); got != want {
			t.Errorf("%d: %v", code, got)
		}
	}
}

func TestInterpretError(t *testing.T) {
	live := t.Context()
	ended, cancel := context.WithCancel(live)
	cancel()
	late, cancel := context.WithTimeout(live, 0)
	defer cancel()
	odd := errors.New("odd")
	for _, tc := range []struct {
		why       string
		ctx       context.Context
		err, want error
	}{
		{"none", ended, nil, nil},
		{"an answer", live, fmt.Errorf("%w: more", storage.ErrInvalid), storage.ErrInvalid},
		{"an answer, although the context has ended", ended, storage.ErrConflict, storage.ErrConflict},
		{"no row", live, sql.ErrNoRows, storage.ErrNotFound},
		{"what the context cut off", ended, odd, context.Canceled},
		{"what took too long", late, odd, storage.ErrUnavailable},
		{"anything else", live, odd, odd},
	} {
		if got := interpretError(tc.ctx, tc.err); !errors.Is(got, tc.want) {
			t.Errorf("%s: %v, want %v", tc.why, got, tc.want)
		}
	}
}
