package postgres

import (
	"context"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"
)

// pipeline is a transaction on one connection that sends no statement before
// somebody waits for an answer: what is put off until then goes with it in one
// trip to the server. A statement put off that fails makes the next one fail.
type pipeline struct {
	conn    *pgxpool.Conn
	waiting *pgx.Batch
}

const (
	beginSQL    = "BEGIN ISOLATION LEVEL READ COMMITTED"
	commitSQL   = "COMMIT"
	rollbackSQL = "ROLLBACK"
)

// pipelined runs a transaction.
func pipelined(ctx context.Context, pool *pgxpool.Pool, do func(*pipeline) error) error {
	conn, err := pool.Acquire(ctx)
	if err != nil {
		return err
	}
	// A connection whose transaction is still open is closed by its release.
	defer conn.Release()
	p := &pipeline{conn: conn, waiting: &pgx.Batch{}}
	p.later(beginSQL)
	p.later(patienceSQL)
	if err := do(p); err != nil {
		p.rollback(ctx)
		return err
	}
	return p.commit(ctx)
}

// rollback undoes what was begun. Where that fails the connection is closed,
// and the server undoes it.
func (p *pipeline) rollback(ctx context.Context) {
	if p.conn.Conn().PgConn().TxStatus() != idle {
		_, _ = p.conn.Exec(ctx, rollbackSQL)
	}
}

// idle is how the server says that no transaction is open.
const idle = 'I'

func (p *pipeline) commit(ctx context.Context) error {
	tag, err := p.Exec(ctx, commitSQL)
	if err == nil && tag.String() == rollbackSQL {
		return pgx.ErrTxCommitRollback
	}
	return err
}

// later puts a statement off until the next answer.
func (p *pipeline) later(statement string, arguments ...any) {
	p.waiting.Queue(statement, arguments...)
}

// send sends what is put off with one more statement, and returns the results
// from that one on.
func (p *pipeline) send(ctx context.Context, statement string, arguments ...any) (pgx.BatchResults, error) {
	batch := p.waiting
	p.waiting = &pgx.Batch{}
	before := batch.Len()
	batch.Queue(statement, arguments...)
	results := p.conn.SendBatch(ctx, batch)
	for range before {
		if _, err := results.Exec(); err != nil {
			_ = results.Close() // which fails too, and says the same
			return nil, err
		}
	}
	return results, nil
}

// Exec runs a statement.
func (p *pipeline) Exec(ctx context.Context, statement string, arguments ...any) (pgconn.CommandTag, error) {
	results, err := p.send(ctx, statement, arguments...)
	if err != nil {
		return pgconn.CommandTag{}, err
	}
	tag, err := results.Exec()
	if closed := results.Close(); err == nil {
		err = closed
	}
	return tag, err
}

// QueryRow asks for one row. Its Scan must be called.
func (p *pipeline) QueryRow(ctx context.Context, statement string, arguments ...any) pgx.Row {
	results, err := p.send(ctx, statement, arguments...)
	return &lastRow{results, err}
}

type lastRow struct {
	results pgx.BatchResults
	err     error
}

func (r *lastRow) Scan(into ...any) error {
	if r.err != nil {
		return r.err
	}
	err := r.results.QueryRow().Scan(into...)
	if closed := r.results.Close(); err == nil {
		err = closed
	}
	return err
}

// Query asks for rows; what is put off goes before.
func (p *pipeline) Query(ctx context.Context, statement string, arguments ...any) (pgx.Rows, error) {
	if p.waiting.Len() > 0 {
		batch := p.waiting
		p.waiting = &pgx.Batch{}
		if err := p.conn.SendBatch(ctx, batch).Close(); err != nil {
			return nil, err
		}
	}
	return p.conn.Query(ctx, statement, arguments...)
}
