package postgres

import (
	"context"
	"errors"
	"fmt"
	"io"
	"testing"

	"foldwright/storage"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
)

func TestUnavailableCode(t *testing.T) {
	for code, want := range map[string]bool{
		"08006": true, // connection failure
		"25006": true, // read-only transaction
		"40001": true, // could not be serialised
		"40P01": true, // deadlock
		"53100": true, // disk full
		"53300": true, // too many connections
		"57P01": true, // shutting down
		"57P03": true, // starting up
		"25P03": true, // idle in a transaction
		"57014": true, // statement timeout
		"58030": true, // input or output
		"23505": false,
		"28P01": false, // wrong password: waiting will not help
		"3D000": false, // no such database
		"42P01": false, // no such table
		"42501": false, // no right
		"":      false,
	} {
		if got := unavailableCode(code); got != want {
			t.Errorf("%q: %v", code, got)
		}
	}
}

func TestInterpretError(t *testing.T) {
	live := t.Context()
	ended, cancel := context.WithCancel(live)
	cancel()
	late, cancel := context.WithTimeout(live, 0)
	defer cancel()
	for _, tc := range []struct {
		why       string
		ctx       context.Context
		err, want error
	}{
		{"none", ended, nil, nil},
		{"an answer", live, fmt.Errorf("%w: more", storage.ErrInvalid), storage.ErrInvalid},
		{"an answer, although the context has ended", ended, storage.ErrConflict, storage.ErrConflict},
		{"no row", live, pgx.ErrNoRows, storage.ErrNotFound},
		{"what the context cut off", ended, io.ErrUnexpectedEOF, context.Canceled},
		{"what took too long", late, io.ErrUnexpectedEOF, storage.ErrUnavailable},
		{"a connection cut off", live, fmt.Errorf("read: %w", io.ErrUnexpectedEOF), storage.ErrUnavailable},
		{"the server's word", live, &pgconn.PgError{Code: "57P01"}, storage.ErrUnavailable},
	} {
		if got := interpretError(tc.ctx, tc.err); !errors.Is(got, tc.want) {
			t.Errorf("%s: %v, want %v", tc.why, got, tc.want)
		}
	}
	if got := interpretError(live, &pgconn.PgError{Code: "42501", Message: "permission denied"}); got == nil || storage.IsAnswer(got) {
		t.Errorf("a missing right: %v", got)
	}
}
