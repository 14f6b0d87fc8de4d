package storage

import (
	"context"
	"fmt"
	"time"
)

// A JobState is how far a job has come.
type JobState string

// The states of a job. It goes from queued to running, back to queued when its
// worker stops, and from either to one of the others, where it stays.
const (
	JobQueued    JobState = "queued"
	JobRunning   JobState = "running"
	JobDone      JobState = "done"
	JobFailed    JobState = "failed"
	JobCancelled JobState = "cancelled"
)

// Ended reports whether the state is one that a job does not leave.
func (s JobState) Ended() bool { return s != JobQueued && s != JobRunning }

// A Job is work that is done apart from the request that asked for it.
type Job struct {
	ID        string
	Workspace string
	Operation string
	Media     string // of the result
	State     JobState
	Progress  JobProgress
	Attempts  int // workers that took it, the present one included
	CreatedAt time.Time
	StartedAt *time.Time // by the first worker
	EndedAt   *time.Time
	ExpiresAt *time.Time // when it is forgotten; nil until it has ended
	Problem   []byte     // why it failed; nil unless it did
}

// JobProgress is how much is done of how much; of nothing while that is not known.
type JobProgress struct{ Done, Of int }

// A NewJob is what a caller says of a job.
type NewJob struct {
	Operation string
	Media     string
	Request   []byte
}

// Bounds of jobs.
const (
	// MaxJobs is about how many jobs a workspace may have, ended ones included
	// until they are forgotten: callers at the same time may pass it by a few.
	MaxJobs = 2000
	// MaxJobAttempts is how many workers may take a job. What kills a third one
	// would kill a fourth.
	MaxJobAttempts = 3
	// MaxJobLease is the longest lease that may be asked for.
	MaxJobLease = 5 * time.Minute
	// DefaultJobRetention is how long an ended job is kept.
	DefaultJobRetention = 24 * time.Hour
)

// Validate reports, as an ErrInvalid, what makes no job.
func (j NewJob) Validate() error {
	if j.Operation == "" || !ValidText(j.Operation) || !ValidText(j.Media) {
		return fmt.Errorf("%w: the operation or the media type is not text", ErrInvalid)
	}
	return nil
}

// A JobPage is a run of jobs.
type JobPage struct {
	Jobs []Job
	Next string // cursor of the following page, empty after the last
}

// Jobs are those of one workspace.
type Jobs interface {
	// AddJob puts a job in the queue. Keys work as in Store.Create, among jobs
	// and as long as the job is kept: a call with a key that was used before
	// and the same fingerprint returns that job, as it is now, and replayed
	// true. ErrInvalid, ErrKeyReused, ErrQuota.
	AddJob(ctx context.Context, j NewJob, key IdempotencyKey) (made Job, replayed bool, err error)

	// Job returns a job. ErrNotFound.
	Job(ctx context.Context, id string) (Job, error)

	// Jobs returns a page of jobs, the newest first and equal times by
	// descending id. ErrBadCursor.
	Jobs(ctx context.Context, q VersionQuery) (JobPage, error)

	// JobResult returns a job with its result, nil unless it is done.
	// ErrNotFound.
	JobResult(ctx context.Context, id string) (Job, []byte, error)

	// CancelJob ends a job that has not ended, and returns it as it is then.
	// Its worker learns of that when it next keeps it. ErrNotFound.
	CancelJob(ctx context.Context, id string) (Job, error)
}

// A JobClaim is the right to work on a job. It is lost when the job is
// cancelled, and when it was not kept in time and somebody else took it.
type JobClaim struct {
	Job
	Request []byte
	Token   string

	// Trace is the one in which it was asked for, as the traceparent of W3C Trace
	// Context; empty outside of one. It comes from the context of AddJob.
	Trace string
}

// A JobOutcome is how a job ended: done with a result, or failed with a problem.
type JobOutcome struct {
	State    JobState
	Progress JobProgress
	Result   []byte
	Problem  []byte
}

// A JobCount is how many jobs of an operation are in a state.
type JobCount struct {
	Operation string
	State     JobState
	N         int
}

// A JobQueue hands the jobs of all workspaces to workers, in any number of
// processes whose clocks agree to well within a lease.
type JobQueue interface {
	// ClaimJob gives the caller a job for the length of a lease, at most
	// MaxJobLease: one that is queued, or whose claim was not kept in time. The
	// workspace with the fewest jobs running comes first, then the oldest job.
	// Of several callers at once only one gets it. A clock that is set back
	// may take a job from its worker, and never holds it up for longer than a
	// lease. ErrNotFound: there is nothing to do.
	ClaimJob(ctx context.Context, lease time.Duration) (JobClaim, error)

	// KeepJob lengthens a claim to a lease from now, and notes the progress.
	// ErrConflict: the claim is lost.
	KeepJob(ctx context.Context, c JobClaim, progress JobProgress, lease time.Duration) error

	// EndJob ends a job. ErrConflict: the claim is lost.
	EndJob(ctx context.Context, c JobClaim, o JobOutcome) error

	// ReleaseJob puts a job back into the queue, as if it had not been claimed.
	// ErrConflict: the claim is lost.
	ReleaseJob(ctx context.Context, c JobClaim) error

	// SweepJobs forgets the jobs that have expired, and fails with the problem
	// those whose last allowed claim was not kept. It returns the latter.
	SweepJobs(ctx context.Context, problem []byte) ([]Job, error)

	// CountJobs counts the jobs that have not ended.
	CountJobs(ctx context.Context) ([]JobCount, error)
}
