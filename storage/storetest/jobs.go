package storetest

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"sync"
	"testing"
	"time"

	"foldwright/storage"
)

const lease = 10 * time.Second

var jobTests = []test{
	{"a job is queued, claimed, kept and done", func(t *testing.T, db database) {
		now := time.Date(2026, 3, 1, 6, 30, 0, 123_456_000, time.UTC)
		start := now
		b := db.store(storage.Options{Now: func() time.Time { return now }})
		s := b.In("quay")
		made := addJob(t, s, "fit")
		want := storage.Job{ID: made.ID, Workspace: "quay", Operation: "fit", Media: "text/csv", State: storage.JobQueued, CreatedAt: start}
		isJob(t, s, made.ID, want)
		counted(t, b, storage.JobCount{Operation: "fit", State: storage.JobQueued, N: 1})

		now = now.Add(time.Second)
		c := claimed(t, b)
		want.State, want.Attempts, want.StartedAt = storage.JobRunning, 1, new(now)
		if !reflect.DeepEqual(c.Job, want) || string(c.Request) != "{\x00\xff}" {
			t.Errorf("claimed\n%+v with %q, want\n%+v", c.Job, c.Request, want)
		}
		nothingToClaim(t, b)
		counted(t, b, storage.JobCount{Operation: "fit", State: storage.JobRunning, N: 1})

		if err := b.KeepJob(t.Context(), c, storage.JobProgress{Done: 3, Of: 8}, lease); err != nil {
			t.Fatal(err)
		}
		want.Progress = storage.JobProgress{Done: 3, Of: 8}
		isJob(t, s, made.ID, want)

		if _, result, err := s.JobResult(t.Context(), made.ID); err != nil || result != nil {
			t.Errorf("a result of what is not done: %q, %v", result, err)
		}
		now = now.Add(time.Second)
		if err := b.EndJob(t.Context(), c, storage.JobOutcome{State: storage.JobDone, Progress: storage.JobProgress{Done: 8, Of: 8}, Result: []byte("\x00gull\xff")}); err != nil {
			t.Fatal(err)
		}
		want.Progress = storage.JobProgress{Done: 8, Of: 8}
		want.State, want.EndedAt, want.ExpiresAt = storage.JobDone, new(now), new(now.Add(storage.DefaultJobRetention))
		if got, result, err := s.JobResult(t.Context(), made.ID); err != nil || string(result) != "\x00gull\xff" || !reflect.DeepEqual(got, want) {
			t.Errorf("done\n%+v with %q, %v, want\n%+v", got, result, err, want)
		}
		if err := b.EndJob(t.Context(), c, storage.JobOutcome{State: storage.JobFailed}); !errors.Is(err, storage.ErrConflict) {
			t.Errorf("ended twice: %v", err)
		}
		nothingToClaim(t, b)
		counted(t, b)
	}},

	{"a key makes one job", func(t *testing.T, db database) {
		b := db.store(storage.Options{})
		s := b.In("quay")
		key := storage.IdempotencyKey{Key: "tide-1", Fingerprint: "f"}
		var all sync.WaitGroup
		ids := make([]string, 8)
		for i := range ids {
			all.Go(func() {
				j, _, err := s.AddJob(t.Context(), storage.NewJob{Operation: "fit", Request: []byte("{}")}, key)
				if err != nil {
					t.Error(err)
				}
				ids[i] = j.ID
			})
		}
		all.Wait()
		for _, id := range ids {
			if id != ids[0] {
				t.Errorf("made %v", ids)
			}
		}
		c := claimed(t, b)
		if err := b.EndJob(t.Context(), c, storage.JobOutcome{State: storage.JobFailed, Problem: []byte("{}")}); err != nil {
			t.Fatal(err)
		}
		if j, replayed, err := s.AddJob(t.Context(), storage.NewJob{Operation: "fit"}, key); err != nil || !replayed || j.ID != ids[0] || j.State != storage.JobFailed || string(j.Problem) != "{}" {
			t.Errorf("again: %+v, %v, %v", j, replayed, err)
		}
		if _, _, err := s.AddJob(t.Context(), storage.NewJob{Operation: "fit"}, storage.IdempotencyKey{Key: "tide-1", Fingerprint: "g"}); !errors.Is(err, storage.ErrKeyReused) {
			t.Errorf("for another request: %v", err)
		}
		if j, replayed, err := b.In("mill").AddJob(t.Context(), storage.NewJob{Operation: "fit", Request: []byte("{}")}, key); err != nil || replayed || j.ID == ids[0] {
			t.Errorf("in another workspace: %+v, %v, %v", j, replayed, err)
		}
	}},

	{"a claim that is not kept is taken over, and lost", func(t *testing.T, db database) {
		now := time.Date(2026, 3, 1, 6, 30, 0, 0, time.UTC)
		b := db.store(storage.Options{Now: func() time.Time { return now }})
		s := b.In("quay")
		made := addJob(t, s, "fit")
		first := claimed(t, b)
		now = now.Add(lease)
		nothingToClaim(t, b) // a lease ends after its last moment
		now = now.Add(time.Microsecond)
		second := claimed(t, b)
		if second.ID != made.ID || second.Attempts != 2 || !second.StartedAt.Equal(*first.StartedAt) {
			t.Errorf("taken over %+v", second)
		}
		done := storage.JobOutcome{State: storage.JobDone, Result: []byte("late")}
		for what, err := range map[string]error{
			"kept":     b.KeepJob(t.Context(), first, storage.JobProgress{}, lease),
			"ended":    b.EndJob(t.Context(), first, done),
			"released": b.ReleaseJob(t.Context(), first),
		} {
			if !errors.Is(err, storage.ErrConflict) {
				t.Errorf("%s by who lost it: %v", what, err)
			}
		}
		// Who stops in good order does not use up an attempt.
		if err := b.ReleaseJob(t.Context(), second); err != nil {
			t.Fatal(err)
		}
		if third := claimed(t, b); third.Attempts != 2 {
			t.Errorf("after a release: attempt %d", third.Attempts)
		}
		now = now.Add(lease + time.Second)
		if last := claimed(t, b); last.Attempts != storage.MaxJobAttempts {
			t.Errorf("attempt %d", last.Attempts)
		}
		if failed, err := b.SweepJobs(t.Context(), []byte(`{"a":1}`)); err != nil || len(failed) != 0 {
			t.Errorf("failed while it is kept: %+v, %v", failed, err)
		}
		now = now.Add(lease + time.Second)
		nothingToClaim(t, b)
		failed, err := b.SweepJobs(t.Context(), []byte(`{"a":1}`))
		if err != nil || len(failed) != 1 || failed[0].State != storage.JobFailed || string(failed[0].Problem) != `{"a":1}` || failed[0].ExpiresAt == nil {
			t.Fatalf("failed %+v, %v", failed, err)
		}
		isJob(t, s, made.ID, failed[0])
	}},

	{"many workers do every job once", func(t *testing.T, db database) {
		b := db.store(storage.Options{})
		other, err := db.open(storage.Options{})
		if err != nil {
			t.Fatal(err)
		}
		defer other.Close()
		const jobs = 24
		for i := range jobs {
			addJob(t, b.In("quay"), fmt.Sprint("fit", i))
		}
		var (
			all  sync.WaitGroup
			mu   sync.Mutex
			done = map[string]int{}
		)
		for i := range 6 {
			queue := []storage.JobQueue{b, other}[i%2]
			all.Go(func() {
				for {
					c, err := queue.ClaimJob(t.Context(), time.Minute)
					if errors.Is(err, storage.ErrNotFound) {
						return
					}
					if err == nil {
						err = queue.EndJob(t.Context(), c, storage.JobOutcome{State: storage.JobDone, Result: []byte("{}")})
					}
					if err != nil {
						t.Error(err)
						return
					}
					mu.Lock()
					done[c.ID]++
					mu.Unlock()
				}
			})
		}
		all.Wait()
		for {
			c, err := b.ClaimJob(t.Context(), time.Minute)
			if err != nil {
				break
			}
			done[c.ID]++
			if err := b.EndJob(t.Context(), c, storage.JobOutcome{State: storage.JobDone}); err != nil {
				t.Error(err)
			}
		}
		if len(done) != jobs {
			t.Errorf("%d jobs were done of %d", len(done), jobs)
		}
		for id, n := range done {
			if n != 1 {
				t.Errorf("%s was done %d times", id, n)
			}
		}
	}},

	{"workspaces take turns", func(t *testing.T, db database) {
		b := db.store(storage.Options{Now: ticking()})
		for range 3 {
			addJob(t, b.In("quay"), "fit")
		}
		addJob(t, b.In("mill"), "fit")
		var order []string
		for range 4 {
			c, err := b.ClaimJob(t.Context(), time.Hour)
			if err != nil {
				t.Fatal(err)
			}
			order = append(order, c.Workspace)
		}
		if want := []string{"quay", "mill", "quay", "quay"}; !slices.Equal(order, want) {
			t.Errorf("claimed from %v, want %v", order, want)
		}
	}},

	{"cancelling ends what has not ended", func(t *testing.T, db database) {
		b := db.store(storage.Options{Now: ticking()})
		s := b.In("quay")
		waits, runs := addJob(t, s, "fit"), addJob(t, s, "vary")
		if j, err := s.CancelJob(t.Context(), waits.ID); err != nil || j.State != storage.JobCancelled || j.EndedAt == nil || j.ExpiresAt == nil {
			t.Errorf("queued: %+v, %v", j, err)
		}
		c, err := b.ClaimJob(t.Context(), time.Hour)
		if err != nil || c.ID != runs.ID {
			t.Fatalf("claimed %+v, %v", c, err)
		}
		once, err := s.CancelJob(t.Context(), runs.ID)
		if err != nil || once.State != storage.JobCancelled {
			t.Errorf("running: %+v, %v", once, err)
		}
		if twice, err := s.CancelJob(t.Context(), runs.ID); err != nil || !reflect.DeepEqual(once, twice) {
			t.Errorf("again: %+v, %v", twice, err)
		}
		if err := b.KeepJob(t.Context(), c, storage.JobProgress{}, lease); !errors.Is(err, storage.ErrConflict) {
			t.Errorf("its worker: %v", err)
		}
	}},

	{"jobs of another workspace are not there", func(t *testing.T, db database) {
		b := db.store(storage.Options{})
		j := addJob(t, b.In("quay"), "fit")
		for workspace, id := range map[string]string{"mill": j.ID, "quay": "gull", "hill": "gu\x00ll"} {
			s := b.In(workspace)
			_, err := s.Job(t.Context(), id)
			_, _, resultErr := s.JobResult(t.Context(), id)
			_, cancelErr := s.CancelJob(t.Context(), id)
			for _, err := range []error{err, resultErr, cancelErr} {
				if !errors.Is(err, storage.ErrNotFound) {
					t.Errorf("%s: %v", workspace, err)
				}
			}
		}
		if page, err := b.In("mill").Jobs(t.Context(), storage.VersionQuery{}); err != nil || len(page.Jobs) != 0 {
			t.Errorf("listed %+v, %v", page, err)
		}
		if got, err := b.In("quay").Job(t.Context(), j.ID); err != nil || got.State != storage.JobQueued {
			t.Errorf("cancelled from elsewhere: %+v, %v", got, err)
		}
	}},

	{"pages go from the newest to the oldest", func(t *testing.T, db database) {
		b := db.store(storage.Options{Now: ticking()})
		s := b.In("quay")
		var want []string
		for range 5 {
			want = append([]string{addJob(t, s, "fit").ID}, want...)
		}
		var got []string
		q := storage.VersionQuery{Limit: 2}
		for pages := 0; pages == 0 || q.Cursor != ""; pages++ {
			page, err := s.Jobs(t.Context(), q)
			if err != nil || pages > 3 {
				t.Fatal(pages, err)
			}
			for _, j := range page.Jobs {
				got = append(got, j.ID)
			}
			q.Cursor = page.Next
			if q.Cursor != "" {
				if _, err := b.In("mill").Jobs(t.Context(), q); !errors.Is(err, storage.ErrBadCursor) {
					t.Errorf("the cursor in another workspace: %v", err)
				}
			}
		}
		if !reflect.DeepEqual(got, want) {
			t.Errorf("listed %v, want %v", got, want)
		}
	}},

	{"ended jobs are forgotten in time", func(t *testing.T, db database) {
		now := time.Date(2026, 3, 1, 6, 30, 0, 0, time.UTC)
		b := db.store(storage.Options{Now: func() time.Time { return now }, JobRetention: time.Hour})
		s := b.In("quay")
		ended, waits := addJob(t, s, "fit"), addJob(t, s, "fit")
		if _, err := s.CancelJob(t.Context(), ended.ID); err != nil {
			t.Fatal(err)
		}
		sweep := func() {
			t.Helper()
			if _, err := b.SweepJobs(t.Context(), nil); err != nil {
				t.Fatal(err)
			}
		}
		now = now.Add(time.Hour - time.Second)
		sweep()
		if _, err := s.Job(t.Context(), ended.ID); err != nil {
			t.Errorf("forgotten too soon: %v", err)
		}
		now = now.Add(time.Second)
		sweep()
		if _, err := s.Job(t.Context(), ended.ID); !errors.Is(err, storage.ErrNotFound) {
			t.Errorf("not forgotten: %v", err)
		}
		if _, err := s.Job(t.Context(), waits.ID); err != nil {
			t.Errorf("forgotten before it ended: %v", err)
		}
	}},
}

func addJob(t *testing.T, s storage.Store, operation string) storage.Job {
	t.Helper()
	j, replayed, err := s.AddJob(t.Context(), storage.NewJob{Operation: operation, Media: "text/csv", Request: []byte("{\x00\xff}")}, noKey)
	if err != nil || replayed {
		t.Fatalf("add job: %v, %v", replayed, err)
	}
	return j
}

func claimed(t *testing.T, b storage.Database) storage.JobClaim {
	t.Helper()
	c, err := b.ClaimJob(t.Context(), lease)
	if err != nil {
		t.Fatalf("claim: %v", err)
	}
	return c
}

func nothingToClaim(t *testing.T, b storage.Database) {
	t.Helper()
	if c, err := b.ClaimJob(t.Context(), lease); !errors.Is(err, storage.ErrNotFound) {
		t.Errorf("claimed %+v, %v", c, err)
	}
}

func isJob(t *testing.T, s storage.Store, id string, want storage.Job) {
	t.Helper()
	if got, err := s.Job(t.Context(), id); err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("kept\n%+v, %v, want\n%+v", got, err, want)
	}
}

func counted(t *testing.T, b storage.Database, want ...storage.JobCount) {
	t.Helper()
	if got, err := b.CountJobs(t.Context()); err != nil || !slices.Equal(got, want) {
		t.Errorf("counted %+v, %v, want %+v", got, err, want)
	}
}
