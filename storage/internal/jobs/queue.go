package jobs

import (
	"context"
	"time"

	"foldwright/storage"
	"foldwright/storage/internal/hooks"
	"foldwright/storage/internal/lease"

	"github.com/google/uuid"
)

// Queue is a storage.JobQueue on a database.
type Queue struct {
	db    *lease.Database
	claim string
}

// New is the queue of a database.
func New(db *lease.Database) *Queue { return &Queue{db, db.Locking(claimSQL)} }

var _ storage.JobQueue = (*Queue)(nil)

func (q *Queue) ClaimJob(ctx context.Context, length time.Duration) (storage.JobClaim, error) {
	now := q.db.Options.Now()
	if err := q.db.Wanted(ctx, waitingSQL, now.UnixMicro(), storage.MaxJobAttempts, lease.Furthest(now)); err != nil {
		return storage.JobClaim{}, err
	}
	c := storage.JobClaim{Token: uuid.NewString()}
	err := q.db.Atomically(ctx, func(tx lease.Tx) (err error) {
		c.Job, err = scan(tx.QueryRowContext(ctx, q.claim,
			c.Token, now.Add(length).UnixMicro(), now.UnixMicro(), storage.MaxJobAttempts, lease.Furthest(now)), &c.Request, &c.Trace)
		return err
	})
	return c, err
}

func (q *Queue) KeepJob(ctx context.Context, c storage.JobClaim, progress storage.JobProgress, lease time.Duration) error {
	return q.db.Held(ctx, keepSQL, c.ID, c.Token, q.db.Options.Now().Add(lease).UnixMicro(), progress.Done, progress.Of)
}

func (q *Queue) EndJob(ctx context.Context, c storage.JobClaim, o storage.JobOutcome) error {
	now := q.db.Options.Now()
	return q.db.Atomically(ctx, func(tx lease.Tx) error {
		err := tx.Held(ctx, endSQL, c.ID, c.Token, string(o.State), o.Result, o.Problem, now.UnixMicro(), q.expiry(now),
			o.Progress.Done, o.Progress.Of)
		if err != nil {
			return err
		}
		return q.announce(ctx, tx, &c.Job, o.State, now)
	})
}

// announce tells the workspace's hooks that a job has ended.
func (q *Queue) announce(ctx context.Context, tx lease.Tx, j *storage.Job, state storage.JobState, now time.Time) error {
	return hooks.Announce(ctx, tx, j.Workspace, storage.Event{
		ID: q.db.Options.NewID(), Type: storage.JobEnded, At: now,
		About: storage.EventAbout{Job: j.ID, Operation: j.Operation, State: state},
	})
}

func (q *Queue) ReleaseJob(ctx context.Context, c storage.JobClaim) error {
	return q.db.Held(ctx, releaseSQL, c.ID, c.Token)
}

func (q *Queue) SweepJobs(ctx context.Context, problem []byte) (failed []storage.Job, err error) {
	now := q.db.Options.Now()
	if _, err := q.db.Change(ctx, forgetSQL, now.UnixMicro()); err != nil {
		return nil, err
	}
	err = q.db.Atomically(ctx, func(tx lease.Tx) error {
		failed, err = lease.List(ctx, tx, scanAll, giveUpSQL, now.UnixMicro(), storage.MaxJobAttempts, problem, q.expiry(now), lease.Furthest(now))
		for i := 0; i < len(failed) && err == nil; i++ {
			err = q.announce(ctx, tx, &failed[i], storage.JobFailed, now)
		}
		return err
	})
	return failed, err
}

func (q *Queue) CountJobs(ctx context.Context) ([]storage.JobCount, error) {
	list, err := lease.List(ctx, q.db.Reads, func(row lease.Row) (c storage.JobCount, err error) {
		return c, row.Scan(&c.Operation, &c.State, &c.N)
	}, countsSQL)
	return list, q.db.Interpret(ctx, err)
}

func (q *Queue) expiry(ended time.Time) int64 {
	return ended.Add(q.db.Options.JobRetention).UnixMicro()
}

func scanAll(row lease.Row) (storage.Job, error) { return scan(row) }

// scan reads the columns that every query gives, and what it gives besides.
func scan(row lease.Row, more ...any) (storage.Job, error) {
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
	j.StartedAt, j.EndedAt, j.ExpiresAt = lease.At(started), lease.At(ended), lease.At(expiry)
	return j, err
}
