package jobs_test

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"log/slog"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"foldwright/api/jobs"
	"foldwright/api/leased/leasedtest"
	"foldwright/storage"
	"foldwright/storage/access"
	"foldwright/storage/postgres/pgtest"
	"foldwright/storage/sqlite"
)

// workerPath names, to a copy of this test binary, the file whose jobs it is to
// begin until it is killed.
const workerPath = "FOLDWRIGHT_TEST_WORKER_PATH"

func TestMain(m *testing.M) {
	if path := os.Getenv(workerPath); path != "" {
		workUntilKilled(path)
	}
	os.Exit(pgtest.Run(m))
}

func workUntilKilled(path string) {
	store, err := sqlite.Open(context.Background(), path, storage.Options{})
	if err != nil {
		panic(err)
	}
	w := newWorkers(store)
	w.Do = func(ctx context.Context, c *storage.JobClaim, _ func(int, int)) ([]byte, error) {
		os.Stdout.WriteString(c.ID + "\n")
		select {} // whatever it is told
	}
	w.Run(context.Background())
}

// quick is short enough for tests and long enough for a busy machine.
var quick = jobs.Times{Lease: 2 * time.Second, Pace: 50 * time.Millisecond, Sweep: 50 * time.Millisecond, Budget: time.Minute}

// patience is how long a test waits for what must come.
const patience = time.Minute

func newWorkers(queue storage.JobQueue) *jobs.Workers {
	return &jobs.Workers{
		Queue: queue, Number: 1, Times: quick, Log: slog.New(slog.DiscardHandler),
		Problem: func(err error) []byte { return []byte(err.Error()) },
		Attempt: func(ctx context.Context, _ *storage.JobClaim) (context.Context, func(jobs.Outcome)) {
			return ctx, func(jobs.Outcome) {}
		},
		Ended: func(*storage.Job, storage.JobState) {},
	}
}

func submit(t *testing.T, store storage.Database) storage.Job {
	t.Helper()
	j, _, err := store.In(access.Local).AddJob(t.Context(), storage.NewJob{Operation: "fit", Request: []byte("{}")}, storage.IdempotencyKey{})
	if err != nil {
		t.Fatal(err)
	}
	return j
}

func reaches(t *testing.T, store storage.Database, id string, what string, is func(storage.Job) bool) storage.Job {
	t.Helper()
	for end := time.Now().Add(patience); ; time.Sleep(20 * time.Millisecond) {
		j, err := store.In(access.Local).Job(t.Context(), id)
		if err != nil {
			t.Fatal(err)
		}
		if is(j) {
			return j
		}
		if time.Now().After(end) {
			t.Fatalf("not %s: %+v", what, j)
		}
	}
}

func ended(j storage.Job) bool { return j.State.Ended() }

func TestAJobIsDoneWithItsProgress(t *testing.T) {
	leasedtest.OnBoth(t, func(t *testing.T, open func() storage.Database) {
		store := open()
		w := newWorkers(store)
		goOn := make(chan struct{})
		w.Do = func(_ context.Context, c *storage.JobClaim, progress func(int, int)) ([]byte, error) {
			progress(3, 8)
			<-goOn
			return append(c.Request, "gull"...), nil
		}
		leasedtest.Start(t, w.Run)
		j := submit(t, store)
		reaches(t, store, j.ID, "under way", func(j storage.Job) bool { return j.Progress == storage.JobProgress{Done: 3, Of: 8} })
		close(goOn)
		reaches(t, store, j.ID, "done", ended)
		if j, result, err := store.In(access.Local).JobResult(t.Context(), j.ID); err != nil || j.State != storage.JobDone || string(result) != "{}gull" {
			t.Errorf("%+v, %q, %v", j, result, err)
		}
	})
}

// A job that is cancelled through one replica stops in another.
func TestCancellingReachesTheWorker(t *testing.T) {
	leasedtest.OnBoth(t, func(t *testing.T, open func() storage.Database) {
		here, there := open(), open()
		w := newWorkers(there)
		began, told := make(chan struct{}), make(chan error, 1)
		w.Do = func(ctx context.Context, _ *storage.JobClaim, _ func(int, int)) ([]byte, error) {
			close(began)
			<-ctx.Done()
			told <- context.Cause(ctx)
			return []byte("late"), nil
		}
		leasedtest.Start(t, w.Run)
		j := submit(t, here)
		<-began
		if _, err := here.In(access.Local).CancelJob(t.Context(), j.ID); err != nil {
			t.Fatal(err)
		}
		if err := <-told; !errors.Is(err, jobs.ErrLost) {
			t.Errorf("the worker is told %v", err)
		}
		time.Sleep(2 * quick.Pace)
		if j, result, err := here.In(access.Local).JobResult(t.Context(), j.ID); err != nil || j.State != storage.JobCancelled || result != nil {
			t.Errorf("%+v, %q, %v", j, result, err)
		}
	})
}

// A service that is stopped in good order puts back what it works on, at once
// and without using up an attempt.
func TestStoppingPutsJobsBack(t *testing.T) {
	leasedtest.OnBoth(t, func(t *testing.T, open func() storage.Database) {
		store := open()
		w := newWorkers(store)
		began := make(chan struct{})
		w.Do = func(ctx context.Context, _ *storage.JobClaim, _ func(int, int)) ([]byte, error) {
			close(began)
			<-ctx.Done()
			return nil, ctx.Err()
		}
		stop := leasedtest.Start(t, w.Run)
		j := submit(t, store)
		<-began
		stop()
		if j, err := store.In(access.Local).Job(t.Context(), j.ID); err != nil || j.State != storage.JobQueued || j.Attempts != 0 {
			t.Errorf("put back %+v, %v", j, err)
		}
	})
}

func TestFailures(t *testing.T) {
	store, err := sqlite.Open(t.Context(), filepath.Join(t.TempDir(), "harbour.db"), storage.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	for _, tc := range []struct {
		why, problem string
		budget       time.Duration
		do           func(context.Context) ([]byte, error)
	}{
		{"an error", "no wind", time.Minute, func(context.Context) ([]byte, error) { return nil, errors.New("no wind") }},
		{"a panic", "jobs: panic: storm", time.Minute, func(context.Context) ([]byte, error) { panic("storm") }},
		{"too long", "context deadline exceeded", 100 * time.Millisecond, func(ctx context.Context) ([]byte, error) { <-ctx.Done(); return nil, ctx.Err() }},
	} {
		w := newWorkers(store)
		w.Times.Budget = tc.budget
		w.Do = func(ctx context.Context, _ *storage.JobClaim, _ func(int, int)) ([]byte, error) { return tc.do(ctx) }
		told := make(chan storage.JobState, 1)
		w.Ended = func(_ *storage.Job, state storage.JobState) { told <- state }
		stop := leasedtest.Start(t, w.Run)
		j := reaches(t, store, submit(t, store).ID, "failed", ended)
		if state := <-told; j.State != storage.JobFailed || string(j.Problem) != tc.problem || j.Attempts != 1 || state != storage.JobFailed {
			t.Errorf("%s: %+v, %s, told %s", tc.why, j, j.Problem, state)
		}
		stop()
	}
}

// The job of a process that is killed is taken over by another; one that kills
// every process at it fails.
func TestWhatAKilledProcessLeavesIsTakenOver(t *testing.T) {
	path := filepath.Join(t.TempDir(), "harbour.db")
	store, err := sqlite.Open(t.Context(), path, storage.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	first := submit(t, store)
	kill(t, path, first.ID)
	if j, err := store.In(access.Local).Job(t.Context(), first.ID); err != nil || j.State != storage.JobRunning || j.Attempts != 1 {
		t.Fatalf("left %+v, %v", j, err)
	}
	w := newWorkers(store)
	w.Do = func(context.Context, *storage.JobClaim, func(int, int)) ([]byte, error) { return []byte("{}"), nil }
	stop := leasedtest.Start(t, w.Run)
	if j := reaches(t, store, first.ID, "taken over", ended); j.State != storage.JobDone || j.Attempts != 2 {
		t.Errorf("taken over %+v", j)
	}
	stop()

	deadly := submit(t, store)
	for range storage.MaxJobAttempts {
		kill(t, path, deadly.ID)
	}
	leasedtest.Start(t, w.Run)
	j := reaches(t, store, deadly.ID, "given up", ended)
	if j.State != storage.JobFailed || j.Attempts != storage.MaxJobAttempts || !bytes.Contains(j.Problem, []byte("every worker")) {
		t.Errorf("given up %+v, %s", j, j.Problem)
	}
}

// kill starts a process that works, and kills it once it has begun the job.
func kill(t *testing.T, path, id string) {
	t.Helper()
	worker := exec.CommandContext(t.Context(), os.Args[0])
	worker.Env = append(os.Environ(), workerPath+"="+path)
	worker.Stderr = os.Stderr
	out, err := worker.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := worker.Start(); err != nil {
		t.Fatal(err)
	}
	line, err := bufio.NewReader(out).ReadString('\n')
	if err != nil || line != id+"\n" {
		t.Errorf("the worker began %q, %v", line, err)
	}
	if err := worker.Process.Kill(); err != nil {
		t.Error(err)
	}
	if err := worker.Wait(); err == nil {
		t.Error("the worker ended by itself")
	}
}
