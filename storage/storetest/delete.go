package storetest

import (
	"errors"
	"reflect"
	"slices"
	"testing"

	"foldwright/storage"
)

var deleteTests = []test{
	{"a deleted design is hidden and not lost", func(t *testing.T, db database) {
		s := db.store(storage.Options{Now: ticking()})
		kept, gone := create(t, s, lighthouse(1)), create(t, s, lighthouse(1))
		if err := s.Delete(t.Context(), gone.ID, 1); err != nil {
			t.Fatal(err)
		}
		ctx := t.Context()
		_, get := s.Get(ctx, gone.ID)
		_, version := s.Version(ctx, gone.ID, 1)
		_, missing := s.Version(ctx, gone.ID, 9)
		_, versions := s.Versions(ctx, gone.ID, storage.VersionQuery{})
		_, _, _, added := s.AddVersion(ctx, gone.ID, 1, lighthouse(2), noKey)
		_, _, _, unchanged := s.AddVersion(ctx, gone.ID, 1, lighthouse(1), noKey)
		_, _, _, stale := s.AddVersion(ctx, gone.ID, 7, lighthouse(2), noKey)
		for call, err := range map[string]error{
			"get": get, "version": version, "version never made": missing, "versions": versions,
			"add": added, "add unchanged": unchanged, "add stale": stale,
			"delete again": s.Delete(ctx, gone.ID, 1), "delete again, whatever is newest": s.Delete(ctx, gone.ID, 0),
		} {
			if !errors.Is(err, storage.ErrDeleted) {
				t.Errorf("%s: %v", call, err)
			}
		}
		if got := ids(all(t, s, storage.Query{})); !slices.Equal(got, []string{kept.ID}) {
			t.Errorf("live: %v", got)
		}
		deleted := all(t, s, storage.Query{Deleted: true})
		if len(deleted) != 1 || deleted[0].ID != gone.ID || deleted[0].DeletedAt == nil ||
			!deleted[0].DeletedAt.After(gone.CreatedAt) || !deleted[0].UpdatedAt.Equal(gone.UpdatedAt) {
			t.Errorf("deleted: %+v", deleted)
		}
	}},

	{"a restored design is as it was", func(t *testing.T, db database) {
		s := db.store(storage.Options{Now: ticking()})
		d := create(t, s, lighthouse(1))
		d = add(t, s, d.ID, 1, lighthouse(2))
		if err := s.Delete(t.Context(), d.ID, 0); err != nil {
			t.Fatal(err)
		}
		got, newest, err := s.Restore(t.Context(), d.ID)
		if err != nil || !reflect.DeepEqual(got, d) || newest.Number != 2 || newest.Hash != lighthouse(2).Hash {
			t.Errorf("restored\n%+v at %d, %v, was\n%+v", got, newest.Number, err, d)
		}
		if got, err := s.Get(t.Context(), d.ID); err != nil || !reflect.DeepEqual(got, d) {
			t.Errorf("kept\n%+v, %v, was\n%+v", got, err, d)
		}
		if v, err := s.Version(t.Context(), d.ID, 1); err != nil || v.Hash != lighthouse(1).Hash {
			t.Errorf("version 1 is %+v, %v", v, err)
		}
		if got := all(t, s, storage.Query{Deleted: true}); len(got) != 0 {
			t.Errorf("still deleted: %+v", got)
		}
		add(t, s, d.ID, 2, lighthouse(3))
		if err := s.Delete(t.Context(), d.ID, 3); err != nil {
			t.Errorf("delete once more: %v", err)
		}
	}},

	{"restoring a live design changes nothing", func(t *testing.T, db database) {
		s := db.store(storage.Options{Now: ticking()})
		d := create(t, s, lighthouse(1))
		if got, _, err := s.Restore(t.Context(), d.ID); err != nil || !reflect.DeepEqual(got, d) {
			t.Errorf("got\n%+v, %v, was\n%+v", got, err, d)
		}
	}},

	{"another number than the newest is a conflict", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		d := create(t, s, lighthouse(1))
		add(t, s, d.ID, 1, lighthouse(2))
		for _, n := range []int{1, 3, -1} {
			if err := s.Delete(t.Context(), d.ID, n); !errors.Is(err, storage.ErrConflict) {
				t.Errorf("at %d: %v", n, err)
			}
		}
		if _, err := s.Get(t.Context(), d.ID); err != nil {
			t.Errorf("after refused deletes: %v", err)
		}
	}},
}
