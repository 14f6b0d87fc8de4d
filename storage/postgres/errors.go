package postgres

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"

	"foldwright/storage"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
)

// interpretError puts what the server and the driver say into the words of the
// contract. Of a driver's error only the text is kept: its values hold the
// connection's configuration, and with it the password.
func interpretError(ctx context.Context, err error) error {
	if err == nil || storage.IsAnswer(err) {
		return err
	}
	if errors.Is(err, pgx.ErrNoRows) {
		return storage.ErrNotFound
	}
	// A call that the context ended fails with whatever it was doing then.
	if errors.Is(ctx.Err(), context.DeadlineExceeded) {
		return fmt.Errorf("%w: %w", storage.ErrUnavailable, ctx.Err())
	}
	if ctx.Err() != nil {
		return fmt.Errorf("postgres: %w", ctx.Err())
	}
	if unavailable(err) {
		return fmt.Errorf("%w: %s", storage.ErrUnavailable, err.Error())
	}
	return fmt.Errorf("postgres: %s", err.Error())
}

func unavailable(err error) bool {
	if said, ok := errors.AsType[*pgconn.PgError](err); ok {
		return unavailableCode(said.Code)
	}
	if _, ok := errors.AsType[*pgconn.ConnectError](err); ok {
		return true
	}
	if _, ok := errors.AsType[net.Error](err); ok {
		return true
	}
	return errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, pgconn.ErrConnClosed)
}

// unavailableCode reads an SQLSTATE (PostgreSQL 17, appendix A).
func unavailableCode(code string) bool {
	switch code {
	case "25006", // read-only transaction: the server became a standby
		"40001", "40P01", // could not be serialised, deadlock
		"55P03",                   // a lock timeout of the server's own
		"57014",                   // a statement timeout of the server's own
		"57P01", "57P02", "57P03", // shutting down, crashed, not up yet
		"57P05", // an idle session timeout
		"25P03": // a transaction in which this side said nothing
		return true
	}
	if len(code) < 2 {
		return false
	}
	switch code[:2] {
	case "08", // connection
		"53", // out of connections, memory or disk
		"58": // the server's own input and output
		return true
	}
	return false
}
