package storetest

import (
	"errors"
	"math"
	"reflect"
	"testing"

	"foldwright/storage"
)

var versionTests = []test{
	{"a version follows the newest", func(t *testing.T, db database) {
		s := db.store(storage.Options{Now: ticking()})
		first := create(t, s, lighthouse(1))
		given := titled("Lighthouse at night", "harbour", "night")
		given.Hash, given.Document = "sha256:02", []byte("{}")
		d, v, _, err := s.AddVersion(t.Context(), first.ID, 1, given, noKey)
		if err != nil {
			t.Fatal(err)
		}
		if d.Version != 2 || d.Title != given.Title || !reflect.DeepEqual(d.Tags, given.Tags) ||
			!d.CreatedAt.Equal(first.CreatedAt) || !d.UpdatedAt.After(first.UpdatedAt) {
			t.Errorf("made %+v after %+v", d, first)
		}
		if got, err := s.Get(t.Context(), d.ID); err != nil || !reflect.DeepEqual(got, d) {
			t.Errorf("kept\n%+v, %v, made\n%+v", got, err, d)
		}
		if got, err := s.Version(t.Context(), d.ID, 2); err != nil || !reflect.DeepEqual(got, v) {
			t.Errorf("kept\n%+v, %v, made\n%+v", got, err, v)
		}
		if !v.CreatedAt.Equal(d.UpdatedAt) {
			t.Errorf("the version was made at %v, the design updated at %v", v.CreatedAt, d.UpdatedAt)
		}
	}},

	{"earlier versions stay as they were", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		_, first, _, err := s.Create(t.Context(), lighthouse(1), noKey)
		if err != nil {
			t.Fatal(err)
		}
		for n := 1; n < 5; n++ {
			add(t, s, first.DesignID, n, lighthouse(n+1))
		}
		if got, err := s.Version(t.Context(), first.DesignID, 1); err != nil || !reflect.DeepEqual(got, first) {
			t.Errorf("kept\n%+v, %v, made\n%+v", got, err, first)
		}
	}},

	{"another number than the newest is a conflict", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		d := create(t, s, lighthouse(1))
		add(t, s, d.ID, 1, lighthouse(2))
		for _, n := range []int{1, 3, -1, math.MaxInt} {
			if _, _, _, err := s.AddVersion(t.Context(), d.ID, n, lighthouse(3), noKey); !errors.Is(err, storage.ErrConflict) {
				t.Errorf("at %d: %v", n, err)
			}
			// A stale caller learns so even if the content happens to agree.
			if _, _, _, err := s.AddVersion(t.Context(), d.ID, n, lighthouse(2), noKey); !errors.Is(err, storage.ErrConflict) {
				t.Errorf("the same content at %d: %v", n, err)
			}
		}
		if got, err := s.Get(t.Context(), d.ID); err != nil || got.Version != 2 {
			t.Errorf("left at %d, %v", got.Version, err)
		}
	}},

	{"zero follows whatever is newest", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		d := create(t, s, lighthouse(1))
		add(t, s, d.ID, 1, lighthouse(2))
		if got := add(t, s, d.ID, 0, lighthouse(3)); got.Version != 3 {
			t.Errorf("made version %d", got.Version)
		}
	}},

	{"unchanged content makes no version", func(t *testing.T, db database) {
		s := db.store(storage.Options{Now: ticking()})
		d, first, _, err := s.Create(t.Context(), lighthouse(1), noKey)
		if err != nil {
			t.Fatal(err)
		}
		again := lighthouse(1)
		again.Message, again.Author = "Nothing new", "gull"
		got, v, replayed, err := s.AddVersion(t.Context(), d.ID, 1, again, noKey)
		if err != nil || replayed || !reflect.DeepEqual(got, d) || !reflect.DeepEqual(v, first) {
			t.Errorf("made %+v, %+v, %v, %v", got, v, replayed, err)
		}
		if page, err := s.Versions(t.Context(), d.ID, storage.VersionQuery{}); err != nil || len(page.Versions) != 1 {
			t.Errorf("kept %d versions, %v", len(page.Versions), err)
		}
	}},

	{"a change of the title or the tags alone makes a version", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		d := create(t, s, lighthouse(1))
		for n, change := range []func(*storage.NewVersion){
			func(v *storage.NewVersion) { v.Title = "lighthouse" },
			func(v *storage.NewVersion) { v.Tags = []string{"v_fold", "harbour"} },
			func(v *storage.NewVersion) { v.Tags = nil },
		} {
			v := lighthouse(1)
			change(&v)
			if got := add(t, s, d.ID, n+1, v); got.Version != n+2 {
				t.Errorf("change %d made version %d", n, got.Version)
			}
		}
	}},

	// Only neighbours are compared: going back to what was is a new state.
	{"content of an earlier version makes a version", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		d := create(t, s, lighthouse(1))
		add(t, s, d.ID, 1, lighthouse(2))
		if got := add(t, s, d.ID, 2, lighthouse(1)); got.Version != 3 {
			t.Errorf("made version %d", got.Version)
		}
	}},

	{"a number that was never made", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		d := create(t, s, lighthouse(1))
		for _, n := range []int{math.MinInt, -1, 0, 2, math.MaxInt} {
			if _, err := s.Version(t.Context(), d.ID, n); !errors.Is(err, storage.ErrNotFound) {
				t.Errorf("version %d: %v", n, err)
			}
		}
	}},

	{"pages of versions, newest first, without documents", func(t *testing.T, db database) {
		s := db.store(storage.Options{Now: ticking()})
		d := create(t, s, lighthouse(1))
		other := create(t, s, lighthouse(1)) // must not show up
		want := []int{}
		for n := 1; n < 8; n++ {
			add(t, s, d.ID, n, lighthouse(n+1))
			add(t, s, other.ID, n, lighthouse(n+1))
		}
		for n := 8; n > 0; n-- {
			want = append(want, n)
		}
		var got []int
		q := storage.VersionQuery{Limit: 3}
		for pages := 0; ; pages++ {
			if pages == 3 {
				t.Fatal("more than the three pages that eight versions fill")
			}
			page, err := s.Versions(t.Context(), d.ID, q)
			if err != nil {
				t.Fatal(err)
			}
			for _, v := range page.Versions {
				whole, err := s.Version(t.Context(), d.ID, v.Number)
				if err != nil {
					t.Fatal(err)
				}
				if whole.Document = nil; !reflect.DeepEqual(v, whole) {
					t.Errorf("listed\n%+v, kept\n%+v", v, whole)
				}
				got = append(got, v.Number)
			}
			if q.Cursor = page.Next; q.Cursor == "" {
				break
			}
			// Newer versions lie before the pages still to come.
			add(t, s, d.ID, 0, lighthouse(100+pages))
		}
		if !reflect.DeepEqual(got, want) {
			t.Errorf("listed %v, want %v", got, want)
		}
	}},

	{"a page that fits exactly has no next", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		d := create(t, s, lighthouse(1))
		add(t, s, d.ID, 1, lighthouse(2))
		page, err := s.Versions(t.Context(), d.ID, storage.VersionQuery{Limit: 2})
		if err != nil || len(page.Versions) != 2 || page.Next != "" {
			t.Errorf("%+v, %v", page, err)
		}
	}},

	{"a cursor of another design is refused", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		a, b := create(t, s, lighthouse(1)), create(t, s, lighthouse(1))
		add(t, s, a.ID, 1, lighthouse(2))
		page, err := s.Versions(t.Context(), a.ID, storage.VersionQuery{Limit: 1})
		if err != nil || page.Next == "" {
			t.Fatalf("%+v, %v", page, err)
		}
		for _, cursor := range []string{page.Next, "gull", "é"} {
			if _, err := s.Versions(t.Context(), b.ID, storage.VersionQuery{Cursor: cursor}); !errors.Is(err, storage.ErrBadCursor) {
				t.Errorf("cursor %q: %v", cursor, err)
			}
		}
	}},
}
