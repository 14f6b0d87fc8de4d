package storetest

import (
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

	{"the machine's clock", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		before := time.Now().Add(-time.Second)
		d := create(t, s, lighthouse(1))
		if d.CreatedAt.Before(before) || d.CreatedAt.After(time.Now()) || d.CreatedAt.Location() != time.UTC {
			t.Errorf("created at %v", d.CreatedAt)
		}
	}},
}
