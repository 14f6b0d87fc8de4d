package storetest

import (
	"errors"
	"testing"
	"time"

	"foldwright/storage"
)

var timeTests = []test{
	{"microseconds, in UTC, cut and not rounded", func(t *testing.T, db database) {
		for _, tc := range []struct {
			why         string
			clock, want time.Time
		}{
			{"a nanosecond short of the next microsecond",
				time.Date(2026, 7, 4, 12, 0, 0, 123_456_999, time.UTC),
				time.Date(2026, 7, 4, 12, 0, 0, 123_456_000, time.UTC)},
			{"a nanosecond short of the next year, in another zone",
				time.Date(2026, 12, 31, 18, 59, 59, 999_999_999, time.FixedZone("", -5*60*60)),
				time.Date(2026, 12, 31, 23, 59, 59, 999_999_000, time.UTC)},
			{"the second that floating point would lose",
				time.Date(2262, 4, 11, 23, 47, 16, 1_000, time.UTC),
				time.Date(2262, 4, 11, 23, 47, 16, 1_000, time.UTC)},
		} {
			s := db.store(storage.Options{Now: func() time.Time { return tc.clock }})
			made := create(t, s, lighthouse(1))
			if err := s.Delete(t.Context(), made.ID, 0); err != nil {
				t.Fatal(err)
			}
			deleted := all(t, s, storage.Query{Deleted: true})[0]
			kept, _, err := s.Restore(t.Context(), made.ID)
			if err != nil {
				t.Fatal(err)
			}
			version, err := s.Version(t.Context(), made.ID, 1)
			if err != nil {
				t.Fatal(err)
			}
			if err := s.Delete(t.Context(), made.ID, 0); err != nil {
				t.Fatal(err)
			}
			for what, got := range map[string]time.Time{
				"made": made.CreatedAt, "made, updated": made.UpdatedAt,
				"kept": kept.CreatedAt, "kept, updated": kept.UpdatedAt,
				"version": version.CreatedAt, "deleted": *deleted.DeletedAt,
			} {
				if got != tc.want {
					t.Errorf("%s: %s at %v, want %v", tc.why, what, got, tc.want)
				}
			}
		}
	}},

	{"a clock that is set back and forth", func(t *testing.T, db database) {
		now := time.Date(2026, 3, 1, 6, 30, 0, 0, time.UTC)
		s := db.store(storage.Options{Now: func() time.Time { return now }})
		made := map[string]bool{}
		head := create(t, s, lighthouse(0))
		made[head.ID] = true
		for i, step := range []time.Duration{-3 * time.Hour, 5 * time.Hour, -2 * time.Hour, 0, -time.Microsecond} {
			now = now.Add(step)
			head = add(t, s, head.ID, i+1, lighthouse(i+1))
			d := create(t, s, lighthouse(i))
			made[d.ID] = true
		}
		// Versions go by their number, whatever the clock said.
		page, err := s.Versions(t.Context(), head.ID, storage.VersionQuery{})
		if err != nil || len(page.Versions) != 6 || page.Versions[0].Number != 6 || head.Version != 6 {
			t.Errorf("at version %d, listed %+v, %v", head.Version, page.Versions, err)
		}
		// Pages neither lose a design nor show one twice.
		for q := (storage.Query{Limit: 1}); ; {
			page, err := s.List(t.Context(), q)
			if err != nil {
				t.Fatal(err)
			}
			for _, d := range page.Designs {
				if !made[d.ID] {
					t.Errorf("%s is listed twice", d.ID)
				}
				delete(made, d.ID)
			}
			if q.Cursor = page.Next; q.Cursor == "" {
				break
			}
			now = now.Add(-time.Hour)
		}
		if len(made) > 0 {
			t.Errorf("not listed: %v", made)
		}
	}},

	{"a claim made before the clock was set back", func(t *testing.T, db database) {
		now := time.Date(2026, 3, 1, 6, 30, 0, 0, time.UTC)
		b := db.store(storage.Options{Now: func() time.Time { return now }})
		addJob(t, b, "fit")
		first := claimed(t, b)
		// Its worker is gone; nobody waits hours for the claim to end.
		now = now.Add(-3 * time.Hour)
		second := claimed(t, b)
		done := storage.JobOutcome{State: storage.JobDone, Result: []byte("{}")}
		if err := b.EndJob(t.Context(), first, done); !errors.Is(err, storage.ErrConflict) {
			t.Errorf("two workers end one job: %v", err)
		}
		if err := b.EndJob(t.Context(), second, done); err != nil {
			t.Errorf("who holds the claim cannot end the job: %v", err)
		}
	}},

	{"a delivery claimed before the clock was set back", func(t *testing.T, db database) {
		now := time.Date(2026, 3, 1, 6, 30, 0, 0, time.UTC)
		b := db.store(storage.Options{Now: func() time.Time { return now }})
		addHook(t, b, storage.DesignCreated)
		now = now.Add(-3 * time.Hour)
		create(t, b, lighthouse(0))
		now = now.Add(3 * time.Hour)
		first := delivering(t, b)
		now = now.Add(-3 * time.Hour)
		second := delivering(t, b)
		if err := b.EndDelivery(t.Context(), first, storage.DeliveryOutcome{State: storage.DeliveryDelivered}); !errors.Is(err, storage.ErrConflict) {
			t.Errorf("two workers end one delivery: %v", err)
		}
		if second.Event.ID != first.Event.ID {
			t.Errorf("claimed %s, then %s", first.Event.ID, second.Event.ID)
		}
	}},

	{"expiry when the clock is set back", func(t *testing.T, db database) {
		made := time.Date(2026, 3, 1, 6, 30, 0, 0, time.UTC)
		now := made
		s := db.store(storage.Options{Now: func() time.Time { return now }})
		key := storage.IdempotencyKey{Key: "tide-1", Fingerprint: "f"}
		d, _, _, err := s.Create(t.Context(), lighthouse(1), key)
		if err != nil {
			t.Fatal(err)
		}
		addShare(t, s, d.ID, storage.NewShare{Hash: "s", ExpiresAt: new(made.Add(time.Hour))})
		for _, step := range []struct {
			at             time.Duration
			live, replayed bool
		}{
			{-3 * 24 * time.Hour, true, true},
			{time.Hour, false, true}, // ended
			{0, true, true},          // and good again, for its time is what it was
			{storage.KeyRetention, false, true},
			{-storage.KeyRetention, true, true},
			{storage.KeyRetention + time.Microsecond, false, false}, // forgotten only now
		} {
			now = made.Add(step.at)
			if _, err := s.Purge(t.Context(), 10); err != nil {
				t.Fatal(err)
			}
			if got, err := s.Share(t.Context(), "s"); err != nil || got.Live(now) != step.live {
				t.Errorf("%v: share live %v, %v", step.at, got.Live(now), err)
			}
			if _, _, replayed, err := s.Create(t.Context(), lighthouse(1), key); err != nil || replayed != step.replayed {
				t.Errorf("%v: replayed %v, %v", step.at, replayed, err)
			}
		}
	}},

	{"the machine's clock", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		before := time.Now().Add(-time.Second)
		d := create(t, s, lighthouse(1))
		if d.CreatedAt.Before(before) || d.CreatedAt.After(time.Now()) || d.CreatedAt.Location() != time.UTC {
			t.Errorf("created at %v", d.CreatedAt)
		}
	}},
}
