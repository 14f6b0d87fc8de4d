package storetest

import (
	"errors"
	"reflect"
	"testing"

	"foldwright/storage"
)

var openingTests = []test{
	{"designs outlive the store", func(t *testing.T, db database) {
		first, err := db.open(storage.Options{})
		if err != nil {
			t.Fatal(err)
		}
		d := create(t, first, lighthouse(1))
		d = add(t, first, d.ID, 1, lighthouse(2))
		gone := create(t, first, lighthouse(3))
		if err := errors.Join(first.Delete(t.Context(), gone.ID, 1), first.Close()); err != nil {
			t.Fatal(err)
		}
		second := db.store(storage.Options{SkipMigrate: true}) // also: the schema was kept
		if got, err := second.Get(t.Context(), d.ID); err != nil || !reflect.DeepEqual(got, d) {
			t.Errorf("kept\n%+v, %v, made\n%+v", got, err, d)
		}
		if v, err := second.Version(t.Context(), d.ID, 1); err != nil || v.Hash != lighthouse(1).Hash {
			t.Errorf("kept %+v, %v", v, err)
		}
		if _, err := second.Get(t.Context(), gone.ID); !errors.Is(err, storage.ErrDeleted) {
			t.Errorf("the deleted design: %v", err)
		}
	}},

	{"a write is seen by another store at once", func(t *testing.T, db database) {
		a, b := db.store(storage.Options{}), db.store(storage.Options{})
		d := create(t, a, lighthouse(0))
		for n := 1; n < 20; n += 2 {
			add(t, b, d.ID, n, lighthouse(n))
			if got, err := a.Get(t.Context(), d.ID); err != nil || got.Version != n+1 {
				t.Fatalf("saw %+v, %v, want version %d", got, err, n+1)
			}
			add(t, a, d.ID, n+1, lighthouse(n+1))
		}
	}},

	{"several stores open an empty database at once", func(t *testing.T, db database) {
		var stores [6]opened
		together(len(stores), func(i int) {
			var err error
			if stores[i], err = db.open(storage.Options{}); err != nil {
				t.Errorf("store %d: %v", i, err)
			}
		})
		for i, s := range stores {
			if s.Backend == nil {
				continue
			}
			create(t, s, lighthouse(i))
			if err := s.Close(); err != nil {
				t.Errorf("close store %d: %v", i, err)
			}
		}
		if got := all(t, db.store(storage.Options{}), storage.Query{}); len(got) != len(stores) {
			t.Errorf("kept %d designs, want %d", len(got), len(stores))
		}
	}},

	{"an empty database is refused when migrating is left out", func(t *testing.T, db database) {
		if s, err := db.open(storage.Options{SkipMigrate: true}); !errors.Is(err, storage.ErrSchema) {
			t.Errorf("opened %v, %v", s, err)
		}
		db.store(storage.Options{}) // the attempt did no harm
	}},

	{"ping", func(t *testing.T, db database) {
		if err := db.store(storage.Options{}).Ping(t.Context()); err != nil {
			t.Error(err)
		}
	}},

	{"connections are counted, and none is kept back", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		create(t, s, lighthouse(1))
		got := s.Stats()
		if got.Open < 1 || got.Open > got.Max || got.InUse != 0 || got.Idle != got.Open {
			t.Errorf("%+v", got)
		}
	}},
}
