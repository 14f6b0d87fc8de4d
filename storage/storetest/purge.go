package storetest

import (
	"errors"
	"fmt"
	"sync/atomic"
	"testing"
	"time"

	"foldwright/storage"
)

const ninetyDays = 90 * 24 * time.Hour

var purgeTests = []test{
	{"what was deleted long ago is forgotten", func(t *testing.T, db database) {
		now := time.Date(2026, 3, 1, 6, 30, 0, 0, time.UTC)
		s := db.store(storage.Options{Now: func() time.Time { return now }, DeletedRetention: ninetyDays})
		key := storage.IdempotencyKey{Key: "tide-1", Fingerprint: "f"}
		d, _, _, err := s.Create(t.Context(), lighthouse(1), key)
		if err != nil {
			t.Fatal(err)
		}
		add(t, s, d.ID, 1, lighthouse(2))
		setLabel(t, s, d.ID, 1, "proof")
		addShare(t, s, d.ID, storage.NewShare{Version: 1, Hash: "s"})
		kept := create(t, s, lighthouse(3))
		late := create(t, s, lighthouse(4))
		remove(t, s, d.ID)
		until := now.Add(ninetyDays)
		if got, err := s.Head(t.Context(), d.ID); err != nil || got.RestorableUntil == nil || !got.RestorableUntil.Equal(until) {
			t.Errorf("deleted: %+v, %v", got, err)
		}
		if got := all(t, s, storage.Query{Deleted: true}); len(got) != 1 || got[0].RestorableUntil == nil || !got[0].RestorableUntil.Equal(until) {
			t.Errorf("listed: %+v", got)
		}
		now = now.Add(time.Hour)
		remove(t, s, late.ID)

		now = until.Add(-time.Microsecond)
		if _, err := s.Purge(t.Context(), 10); err != nil { // the key, which is old enough
			t.Fatal(err)
		}
		if _, err := s.Head(t.Context(), d.ID); err != nil {
			t.Errorf("forgotten too early: %v", err)
		}
		now = until
		if n, err := s.Purge(t.Context(), 10); err != nil || n != 1 {
			t.Errorf("forgot %d, %v", n, err)
		}
		_, head := s.Head(t.Context(), d.ID)
		_, _, restored := s.Restore(t.Context(), d.ID)
		_, shared := s.Share(t.Context(), "s")
		for what, err := range map[string]error{"head": head, "restore": restored, "share": shared} {
			if !errors.Is(err, storage.ErrNotFound) {
				t.Errorf("%s: %v", what, err)
			}
		}
		if u, err := s.Usage(t.Context()); err != nil || u.Designs != 1 || u.Versions != 2 ||
			u.Bytes != int64(len(lighthouse(3).Document)+len(lighthouse(4).Document)) {
			t.Errorf("usage %+v, %v", u, err)
		}
		if _, _, err := s.Restore(t.Context(), late.ID); err != nil {
			t.Errorf("the one deleted later: %v", err)
		}
		if _, err := s.Version(t.Context(), kept.ID, 1); err != nil {
			t.Error(err)
		}
		if got := all(t, s, storage.Query{Tags: []string{"harbour"}}); len(got) != 2 {
			t.Errorf("by tag: %+v", got)
		}
		if n, err := s.Purge(t.Context(), 10); err != nil || n != 0 {
			t.Errorf("forgot %d more, %v", n, err)
		}
	}},

	{"without a retention deleted designs stay for ever", func(t *testing.T, db database) {
		now := time.Date(2026, 3, 1, 6, 30, 0, 0, time.UTC)
		s := db.store(storage.Options{Now: func() time.Time { return now }})
		d := create(t, s, lighthouse(1))
		remove(t, s, d.ID)
		now = now.AddDate(100, 0, 0)
		if n, err := s.Purge(t.Context(), 10); err != nil || n != 0 {
			t.Errorf("forgot %d, %v", n, err)
		}
		if got, err := s.Head(t.Context(), d.ID); err != nil || got.RestorableUntil != nil {
			t.Errorf("%+v, %v", got, err)
		}
	}},

	{"idempotency keys are forgotten after a week, a few at a time", func(t *testing.T, db database) {
		now := time.Date(2026, 3, 1, 6, 30, 0, 0, time.UTC)
		s := db.store(storage.Options{Now: func() time.Time { return now }})
		key := func(n int) storage.IdempotencyKey {
			return storage.IdempotencyKey{Key: fmt.Sprint("tide-", n), Fingerprint: "f"}
		}
		for n := range 3 {
			if _, _, _, err := s.Create(t.Context(), lighthouse(n), key(n)); err != nil {
				t.Fatal(err)
			}
		}
		now = now.Add(storage.KeyRetention)
		if n, err := s.Purge(t.Context(), 2); err != nil || n != 0 {
			t.Errorf("forgot %d at the last moment, %v", n, err)
		}
		now = now.Add(time.Microsecond)
		for _, want := range []int{2, 1, 0} {
			if n, err := s.Purge(t.Context(), 2); err != nil || n != want {
				t.Errorf("forgot %d, %v, want %d", n, err, want)
			}
		}
		if _, _, replayed, err := s.Create(t.Context(), lighthouse(0), key(0)); err != nil || replayed {
			t.Errorf("replayed %v, %v", replayed, err)
		}
	}},

	// Each design is either restored, whole, or forgotten, whole.
	{"restoring and forgetting at once", func(t *testing.T, db database) {
		var later atomic.Bool
		start := time.Date(2026, 3, 1, 6, 30, 0, 0, time.UTC)
		o := storage.Options{DeletedRetention: ninetyDays, Now: func() time.Time {
			if later.Load() {
				return start.Add(ninetyDays)
			}
			return start
		}}
		replicas := []opened{db.store(o), db.store(o)}
		s := replicas[0]
		var list []string
		for n := range 40 {
			d := create(t, s, lighthouse(n))
			add(t, s, d.ID, 1, lighthouse(100+n))
			remove(t, s, d.ID)
			list = append(list, d.ID)
		}
		later.Store(true)
		var restored, forgotten atomic.Int64
		together(6, func(caller int) {
			s := replicas[caller%2]
			if caller < 2 {
				for i := range list {
					switch _, _, err := s.Restore(t.Context(), list[(i*7+caller*20)%len(list)]); {
					case err == nil:
						restored.Add(1)
					case !errors.Is(err, storage.ErrNotFound):
						t.Errorf("restore: %v", err)
					}
				}
				return
			}
			for {
				n, err := s.Purge(t.Context(), 3)
				if err != nil {
					t.Errorf("purge: %v", err)
				}
				forgotten.Add(int64(n))
				if n == 0 {
					return
				}
			}
		})
		left := all(t, s, storage.Query{})
		for _, d := range left {
			if _, err := s.Version(t.Context(), d.ID, 2); err != nil {
				t.Errorf("restored without a version: %v", err)
			}
		}
		rest := all(t, s, storage.Query{Deleted: true})
		if int64(len(left)+len(rest))+forgotten.Load() != 40 {
			t.Errorf("%d live, %d deleted, %d forgotten of 40", len(left), len(rest), forgotten.Load())
		}
		if u, err := s.Usage(t.Context()); err != nil || u.Designs != int64(len(left)) || u.Versions != 2*int64(len(left)+len(rest)) {
			t.Errorf("usage %+v, %v with %d live, %d deleted", u, err, len(left), len(rest))
		}
	}},
}

func remove(t *testing.T, s storage.Store, id string) {
	t.Helper()
	if err := s.Delete(t.Context(), id, 0); err != nil {
		t.Fatalf("delete %s: %v", id, err)
	}
}
