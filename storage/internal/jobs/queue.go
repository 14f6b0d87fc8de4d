package jobs

import (
	"context"
	"database/sql"
	"errors"
	"strings"
	"time"

	"foldwright/storage"

	"github.com/google/uuid"
)

// Queue is a storage.JobQueue on a database.
type Queue struct {
	reads, writes *sql.DB
	options       storage.Options
	claim         string
	asAnswer      func(context.Context, error) error
}

// New is the queue of a database that is read and written, perhaps, over
// different connections. The options have their defaults; lock ends the choice
// of the row to claim; interpret puts what the database says into the words of
// the contract.
func New(reads, writes *sql.DB, o storage.Options, lock string, interpret func(context.Context, error) error) *Queue {
	return &Queue{reads, writes, o, strings.Replace(claimSQL, "/* lock */", lock, 1), interpret}
}

var _ storage.JobQueue = (*Queue)(nil)

func (q *Queue) interpret(ctx context.Context, err error) error {
	if errors.Is(err, sql.ErrNoRows) {
		return storage.ErrNotFound
	}
	return q.asAnswer(ctx, err)
}

// ClaimJob looks before it writes, since most looks find nothing.
func (q *Queue) ClaimJob(ctx context.Context, lease time.Duration) (storage.JobClaim, error) {
	now := q.options.Now()
	var waiting bool
	err := q.reads.QueryRowContext(ctx, waitingSQL, now.UnixMicro(), storage.MaxJobAttempts).Scan(&waiting)
	if err != nil || !waiting {
		return storage.JobClaim{}, q.interpret(ctx, errors.Join(err, unless(waiting, storage.ErrNotFound)))
	}
	c := storage.JobClaim{Token: uuid.NewString()}
	row := q.writes.QueryRowContext(ctx, q.claim,
		c.Token, now.Add(lease).UnixMicro(), now.UnixMicro(), storage.MaxJobAttempts)
	c.Job, err = scan(row, &c.Request)
	return c, q.interpret(ctx, err)
}

func unless(ok bool, err error) error {
	if ok {
		return nil
	}
	return err
}

func (q *Queue) KeepJob(ctx context.Context, c storage.JobClaim, progress storage.JobProgress, lease time.Duration) error {
	return q.held(ctx, keepSQL, c.ID, c.Token, q.options.Now().Add(lease).UnixMicro(), progress.Done, progress.Of)
}

func (q *Queue) EndJob(ctx context.Context, c storage.JobClaim, o storage.JobOutcome) error {
	now := q.options.Now()
	return q.held(ctx, endSQL, c.ID, c.Token, string(o.State), o.Result, o.Problem, now.UnixMicro(), q.expiry(now),
		o.Progress.Done, o.Progress.Of)
}

func (q *Queue) ReleaseJob(ctx context.Context, c storage.JobClaim) error {
	return q.held(ctx, releaseSQL, c.ID, c.Token)
}

// held changes the job of a claim that still holds.
func (q *Queue) held(ctx context.Context, statement string, arguments ...any) error {
	n, err := q.change(ctx, statement, arguments...)
	if err == nil && n == 0 {
		return storage.ErrConflict
	}
	return err
}

func (q *Queue) change(ctx context.Context, statement string, arguments ...any) (int64, error) {
	result, err := q.writes.ExecContext(ctx, statement, arguments...)
	if err != nil {
		return 0, q.interpret(ctx, err)
	}
	n, err := result.RowsAffected()
	return n, q.interpret(ctx, err)
}

func (q *Queue) SweepJobs(ctx context.Context, problem []byte) ([]storage.Job, error) {
	now := q.options.Now()
	if _, err := q.change(ctx, forgetSQL, now.UnixMicro()); err != nil {
		return nil, err
	}
	return q.list(ctx, q.writes, giveUpSQL, now.UnixMicro(), storage.MaxJobAttempts, problem, q.expiry(now))
}

func (q *Queue) CountJobs(ctx context.Context) ([]storage.JobCount, error) {
	found, err := q.reads.QueryContext(ctx, countsSQL)
	if err != nil {
		return nil, q.interpret(ctx, err)
	}
	defer found.Close()
	var list []storage.JobCount
	for found.Next() {
		var c storage.JobCount
		if err := found.Scan(&c.Operation, &c.State, &c.N); err != nil {
			return nil, q.interpret(ctx, err)
		}
		list = append(list, c)
	}
	return list, q.interpret(ctx, found.Err())
}

func (q *Queue) expiry(ended time.Time) int64 {
	return ended.Add(q.options.JobRetention).UnixMicro()
}

func (q *Queue) list(ctx context.Context, from *sql.DB, query string, arguments ...any) ([]storage.Job, error) {
	found, err := from.QueryContext(ctx, query, arguments...)
	if err != nil {
		return nil, q.interpret(ctx, err)
	}
	defer found.Close()
	list := []storage.Job{}
	for found.Next() {
		j, err := scan(found)
		if err != nil {
			return nil, q.interpret(ctx, err)
		}
		list = append(list, j)
	}
	return list, q.interpret(ctx, found.Err())
}

// scan reads the columns that every query gives, and what it gives besides.
func scan(row interface{ Scan(into ...any) error }, more ...any) (storage.Job, error) {
	var (
		j                      storage.Job
		created                int64
		started, ended, expiry *int64
	)
	err := row.Scan(append([]any{
		&j.ID, &j.Workspace, &j.Operation, &j.Media, &j.State, &j.Progress.Done, &j.Progress.Of, &j.Attempts,
		&created, &started, &ended, &expiry, &j.Problem,
	}, more...)...)
	j.CreatedAt = time.UnixMicro(created).UTC()
	j.StartedAt, j.EndedAt, j.ExpiresAt = at(started), at(ended), at(expiry)
	return j, err
}

func at(micros *int64) *time.Time {
	if micros == nil {
		return nil
	}
	return new(time.UnixMicro(*micros).UTC())
}
