package jobs

import (
	"context"
	"errors"

	"foldwright/storage"
	"foldwright/storage/internal/keyset"
	"foldwright/storage/internal/lease"
)

// Workspace is the jobs of one workspace.
type Workspace struct {
	Queue *Queue
	Name  string
}

var _ storage.Jobs = Workspace{}

func (w Workspace) AddJob(ctx context.Context, nj storage.NewJob, key storage.IdempotencyKey) (storage.Job, bool, error) {
	if err := errors.Join(nj.Validate(), key.Validate()); err != nil {
		return storage.Job{}, false, err
	}
	if !key.IsZero() {
		if j, err := w.madeWith(ctx, key); !errors.Is(err, storage.ErrNotFound) {
			return j, err == nil, err
		}
	}
	db := w.Queue.db
	var kept int
	if err := db.Reads.QueryRowContext(ctx, countKeptSQL, w.Name).Scan(&kept); err != nil {
		return storage.Job{}, false, db.Interpret(ctx, err)
	}
	if kept >= storage.MaxJobs {
		return storage.Job{}, false, &storage.QuotaError{What: "jobs", Limit: storage.MaxJobs}
	}
	j := storage.Job{ID: db.Options.NewID(), Workspace: w.Name, Operation: nj.Operation, Media: nj.Media, State: storage.JobQueued, CreatedAt: db.Options.Now()}
	n, err := db.Change(ctx, insertSQL, j.ID, j.Workspace, j.Operation, j.Media, nj.Request, j.CreatedAt.UnixMicro(),
		lease.OrNull(key.Key), lease.OrNull(key.Fingerprint), lease.OrNull(lease.Traceparent(ctx)))
	if err == nil && n == 0 { // somebody else was quicker with the key
		j, err = w.madeWith(ctx, key)
		return j, err == nil, err
	}
	return j, false, err
}

// madeWith is the job that a key made. The database that was written to is
// asked, which has it at once.
func (w Workspace) madeWith(ctx context.Context, key storage.IdempotencyKey) (storage.Job, error) {
	var fingerprint *string
	j, err := scan(w.Queue.db.Writes.QueryRowContext(ctx, byKeySQL, w.Name, key.Key), &fingerprint)
	if err != nil {
		return storage.Job{}, w.Queue.db.Interpret(ctx, err)
	}
	if fingerprint == nil || *fingerprint != key.Fingerprint {
		return storage.Job{}, storage.ErrKeyReused
	}
	return j, nil
}

func (w Workspace) Job(ctx context.Context, id string) (storage.Job, error) {
	if !storage.ValidText(id) {
		return storage.Job{}, storage.ErrNotFound
	}
	j, err := scan(w.Queue.db.Reads.QueryRowContext(ctx, jobSQL, w.Name, id))
	return j, w.Queue.db.Interpret(ctx, err)
}

func (w Workspace) Jobs(ctx context.Context, q storage.VersionQuery) (storage.JobPage, error) {
	end, err := keyset.Jobs(w.Name, q.Cursor)
	if err != nil {
		return storage.JobPage{}, err
	}
	limit := keyset.Limit(q.Limit)
	list, err := lease.List(ctx, w.Queue.db.Reads, scanAll, pageSQL, w.Name, end.CreatedAt.UnixMicro(), end.ID, limit+1)
	if err != nil {
		return storage.JobPage{}, w.Queue.db.Interpret(ctx, err)
	}
	page := storage.JobPage{Jobs: list}
	if len(list) > limit {
		page.Jobs = list[:limit]
		page.Next = keyset.AfterJob(w.Name, list[limit-1])
	}
	return page, nil
}

func (w Workspace) JobResult(ctx context.Context, id string) (storage.Job, []byte, error) {
	if !storage.ValidText(id) {
		return storage.Job{}, nil, storage.ErrNotFound
	}
	var result []byte
	j, err := scan(w.Queue.db.Reads.QueryRowContext(ctx, resultSQL, w.Name, id), &result)
	return j, result, w.Queue.db.Interpret(ctx, err)
}

func (w Workspace) CancelJob(ctx context.Context, id string) (storage.Job, error) {
	if !storage.ValidText(id) {
		return storage.Job{}, storage.ErrNotFound
	}
	now := w.Queue.db.Options.Now()
	err := w.Queue.db.Atomically(ctx, func(tx lease.Tx) error {
		cancelled, err := lease.List(ctx, tx, scanAll, cancelSQL, w.Name, id, now.UnixMicro(), w.Queue.expiry(now))
		if err == nil && len(cancelled) == 1 {
			err = w.Queue.announce(ctx, tx, &cancelled[0], storage.JobCancelled, now)
		}
		return err
	})
	if err != nil {
		return storage.Job{}, err
	}
	return w.Job(ctx, id)
}
