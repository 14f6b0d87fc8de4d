package lease

import (
	"context"
	"database/sql"
	"errors"
	"strings"
	"time"

	"foldwright/storage"
)

// A Database is what rows are kept in, read and written, perhaps, over different
// connections.
type Database struct {
	Reads, Writes *sql.DB
	Options       storage.Options // with their defaults

	// Lock ends the choice of the row to claim.
	Lock string
	// Isolation is that of every transaction, and all that writes is in one: the
	// server's default may make those who claim at once fail.
	Isolation sql.IsolationLevel
	// Own is the statement that keeps everybody else from writing in a workspace
	// until the end of the transaction; none where nobody else writes meanwhile.
	Own string
	// AsAnswer puts what the database says into the words of the contract.
	AsAnswer func(context.Context, error) error
}

// Row is one that was found.
type Row interface{ Scan(into ...any) error }

// Furthest is the last moment that a claim made by now can hold for. One that
// seems to hold for longer was made before the clock was set back; it would keep
// the row from everyone until the clock is there again.
func Furthest(now time.Time) int64 { return now.Add(storage.MaxJobLease).UnixMicro() }

// Locking puts the words that lock into a statement that claims.
func (d *Database) Locking(statement string) string {
	return strings.Replace(statement, "/* lock */", d.Lock, 1)
}

// Interpret is AsAnswer for what the standard library says too.
func (d *Database) Interpret(ctx context.Context, err error) error {
	if errors.Is(err, sql.ErrNoRows) {
		return storage.ErrNotFound
	}
	return d.AsAnswer(ctx, err)
}

// Wanted returns ErrNotFound unless a query finds that there is something to
// do. Asking comes before claiming, which writes, since most looks find nothing.
func (d *Database) Wanted(ctx context.Context, query string, arguments ...any) error {
	var wanted bool
	err := d.Reads.QueryRowContext(ctx, query, arguments...).Scan(&wanted)
	if err == nil && !wanted {
		return storage.ErrNotFound
	}
	return d.Interpret(ctx, err)
}

// Change runs a statement, and tells how many rows it changed.
func (d *Database) Change(ctx context.Context, statement string, arguments ...any) (n int64, err error) {
	err = d.Atomically(ctx, func(tx Tx) error {
		n, err = tx.Change(ctx, statement, arguments...)
		return err
	})
	return n, err
}

// Held changes the row of a claim that still holds; else it returns ErrConflict.
func (d *Database) Held(ctx context.Context, statement string, arguments ...any) error {
	return held(d.Change(ctx, statement, arguments...))
}

// Atomically runs a function in a transaction, which it commits if the function
// returns nil and rolls back otherwise.
func (d *Database) Atomically(ctx context.Context, do func(Tx) error) error {
	tx, err := d.Writes.BeginTx(ctx, &sql.TxOptions{Isolation: d.Isolation})
	if err != nil {
		return d.Interpret(ctx, err)
	}
	defer tx.Rollback() // does nothing after a commit
	if err = do(Tx{tx}); err == nil {
		err = tx.Commit()
	}
	return d.Interpret(ctx, err)
}

// Tx is a transaction.
type Tx struct{ *sql.Tx }

// Change runs a statement, and tells how many rows it changed.
func (tx Tx) Change(ctx context.Context, statement string, arguments ...any) (int64, error) {
	return changed(tx.ExecContext(ctx, statement, arguments...))
}

// Held changes the row of a claim that still holds; else it returns ErrConflict.
func (tx Tx) Held(ctx context.Context, statement string, arguments ...any) error {
	return held(tx.Change(ctx, statement, arguments...))
}

func held(changed int64, err error) error {
	if err == nil && changed == 0 {
		return storage.ErrConflict
	}
	return err
}

func changed(result sql.Result, err error) (int64, error) {
	if err != nil {
		return 0, err
	}
	return result.RowsAffected()
}

// Querier is a database or a transaction.
type Querier interface {
	QueryContext(ctx context.Context, query string, arguments ...any) (*sql.Rows, error)
}

// List reads every row that a query finds.
func List[T any](ctx context.Context, from Querier, scan func(Row) (T, error), query string, arguments ...any) ([]T, error) {
	found, err := from.QueryContext(ctx, query, arguments...)
	if err != nil {
		return nil, err
	}
	defer found.Close()
	list := []T{}
	for found.Next() {
		one, err := scan(found)
		if err != nil {
			return nil, err
		}
		list = append(list, one)
	}
	return list, found.Err()
}

// At is a time as it is kept; nil is none.
func At(micros *int64) *time.Time {
	if micros == nil {
		return nil
	}
	return new(time.UnixMicro(*micros).UTC())
}

// OrNull keeps no text as NULL.
func OrNull(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}
