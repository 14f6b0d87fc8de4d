package storetest

import (
	"errors"
	"reflect"
	"sync"
	"testing"

	"foldwright/storage"
)

var keyTests = []test{
	{"a repeated create makes nothing", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		key := storage.IdempotencyKey{Key: "tide-1", Fingerprint: "create a lighthouse"}
		d, v, replayed, err := s.Create(t.Context(), lighthouse(1), key)
		if err != nil || replayed {
			t.Fatalf("replayed %v, %v", replayed, err)
		}
		d2, v2, replayed, err := s.Create(t.Context(), lighthouse(1), key)
		if err != nil || !replayed || !reflect.DeepEqual(d2, d) || !reflect.DeepEqual(v2, v) {
			t.Errorf("made\n%+v\n%+v\nreplayed %v, %v, first\n%+v\n%+v", d2, v2, replayed, err, d, v)
		}
		if got := all(t, s, storage.Query{}); len(got) != 1 {
			t.Errorf("kept %d designs", len(got))
		}
	}},

	{"a key outlives the store", func(t *testing.T, db database) {
		key := storage.IdempotencyKey{Key: "tide-1", Fingerprint: "f"}
		first, err := db.open(storage.Options{})
		if err != nil {
			t.Fatal(err)
		}
		d, _, _, err := first.Create(t.Context(), lighthouse(1), key)
		if err := errors.Join(err, first.Close()); err != nil {
			t.Fatal(err)
		}
		got, _, replayed, err := db.store(storage.Options{}).Create(t.Context(), lighthouse(1), key)
		if err != nil || !replayed || got.ID != d.ID {
			t.Errorf("made %+v, replayed %v, %v, first %+v", got, replayed, err, d)
		}
	}},

	{"a replay shows the version made then and the design as it is now", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		key := storage.IdempotencyKey{Key: "tide-1", Fingerprint: "f"}
		d, first, _, err := s.Create(t.Context(), lighthouse(1), key)
		if err != nil {
			t.Fatal(err)
		}
		add(t, s, d.ID, 1, lighthouse(2))
		got, v, replayed, err := s.Create(t.Context(), lighthouse(1), key)
		if err != nil || !replayed || got.Version != 2 || !reflect.DeepEqual(v, first) {
			t.Errorf("got %+v, %+v, replayed %v, %v", got, v, replayed, err)
		}
		if err := s.Delete(t.Context(), d.ID, 0); err != nil {
			t.Fatal(err)
		}
		got, v, replayed, err = s.Create(t.Context(), lighthouse(1), key)
		if err != nil || !replayed || got.DeletedAt == nil || !reflect.DeepEqual(v, first) {
			t.Errorf("after a delete got %+v, %+v, replayed %v, %v", got, v, replayed, err)
		}
	}},

	{"another request with the key is refused and makes nothing", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		key := storage.IdempotencyKey{Key: "tide-1", Fingerprint: "f"}
		d, _, _, err := s.Create(t.Context(), lighthouse(1), key)
		if err != nil {
			t.Fatal(err)
		}
		key.Fingerprint = "g"
		if _, _, _, err := s.Create(t.Context(), lighthouse(2), key); !errors.Is(err, storage.ErrKeyReused) {
			t.Errorf("create: %v", err)
		}
		if _, _, _, err := s.AddVersion(t.Context(), d.ID, 1, lighthouse(2), key); !errors.Is(err, storage.ErrKeyReused) {
			t.Errorf("add: %v", err)
		}
		if got := all(t, s, storage.Query{}); len(got) != 1 || got[0].Version != 1 {
			t.Errorf("kept %+v", got)
		}
	}},

	{"a repeated version is replayed though it is stale by then", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		d := create(t, s, lighthouse(1))
		key := storage.IdempotencyKey{Key: "tide-2", Fingerprint: "f"}
		_, v, _, err := s.AddVersion(t.Context(), d.ID, 1, lighthouse(2), key)
		if err != nil {
			t.Fatal(err)
		}
		add(t, s, d.ID, 2, lighthouse(3))
		got, v2, replayed, err := s.AddVersion(t.Context(), d.ID, 1, lighthouse(2), key)
		if err != nil || !replayed || got.Version != 3 || !reflect.DeepEqual(v2, v) {
			t.Errorf("got %+v, %+v, replayed %v, %v", got, v2, replayed, err)
		}
		if err := s.Delete(t.Context(), d.ID, 0); err != nil {
			t.Fatal(err)
		}
		got, v2, replayed, err = s.AddVersion(t.Context(), d.ID, 1, lighthouse(2), key)
		if err != nil || !replayed || got.DeletedAt == nil || !reflect.DeepEqual(v2, v) {
			t.Errorf("after a delete got %+v, %+v, replayed %v, %v", got, v2, replayed, err)
		}
	}},

	{"a key whose request changed nothing", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		d := create(t, s, lighthouse(1))
		key := storage.IdempotencyKey{Key: "tide-2", Fingerprint: "f"}
		if _, v, replayed, err := s.AddVersion(t.Context(), d.ID, 1, lighthouse(1), key); err != nil || replayed || v.Number != 1 {
			t.Fatalf("got %+v, replayed %v, %v", v, replayed, err)
		}
		add(t, s, d.ID, 1, lighthouse(2))
		if _, v, replayed, err := s.AddVersion(t.Context(), d.ID, 1, lighthouse(1), key); err != nil || !replayed || v.Number != 1 {
			t.Errorf("got %+v, replayed %v, %v", v, replayed, err)
		}
	}},

	{"a key used for another design", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		a, b := create(t, s, lighthouse(1)), create(t, s, lighthouse(1))
		key := storage.IdempotencyKey{Key: "tide-3", Fingerprint: "f"}
		if _, _, _, err := s.AddVersion(t.Context(), a.ID, 1, lighthouse(2), key); err != nil {
			t.Fatal(err)
		}
		if _, _, _, err := s.AddVersion(t.Context(), b.ID, 1, lighthouse(2), key); !errors.Is(err, storage.ErrKeyReused) {
			t.Errorf("add: %v", err)
		}
		if got, err := s.Get(t.Context(), b.ID); err != nil || got.Version != 1 {
			t.Errorf("kept %+v, %v", got, err)
		}
	}},

	{"a refused request leaves its key unused", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		d := create(t, s, lighthouse(1))
		key := storage.IdempotencyKey{Key: "tide-4", Fingerprint: "f"}
		if _, _, _, err := s.AddVersion(t.Context(), d.ID, 7, lighthouse(2), key); !errors.Is(err, storage.ErrConflict) {
			t.Fatalf("add: %v", err)
		}
		if _, v, replayed, err := s.AddVersion(t.Context(), d.ID, 1, lighthouse(2), key); err != nil || replayed || v.Number != 2 {
			t.Errorf("got %+v, replayed %v, %v", v, replayed, err)
		}
	}},

	{"of many creates at once with one key, one makes a design", func(t *testing.T, db database) {
		const rounds, callers = 10, 8
		replicas := []storage.Store{db.store(storage.Options{}), db.store(storage.Options{})}
		for round := range rounds {
			key := storage.IdempotencyKey{Key: "round-" + string(rune('a'+round)), Fingerprint: "f"}
			var (
				mu    sync.Mutex
				made  int
				found = map[string]bool{}
			)
			together(callers, func(caller int) {
				d, v, replayed, err := replicas[caller%2].Create(t.Context(), lighthouse(round), key)
				if err != nil || v.DesignID != d.ID || v.Number != 1 {
					t.Errorf("caller %d: %+v, %+v, %v", caller, d, v, err)
				}
				mu.Lock()
				defer mu.Unlock()
				found[d.ID] = true
				if !replayed {
					made++
				}
			})
			if made != 1 || len(found) != 1 {
				t.Errorf("round %d: %d made, ids %v", round, made, found)
			}
		}
		if got := all(t, replicas[0], storage.Query{}); len(got) != rounds {
			t.Errorf("kept %d designs, want %d", len(got), rounds)
		}
	}},

	{"of many versions at once with one key, one is made", func(t *testing.T, db database) {
		replicas := []storage.Store{db.store(storage.Options{}), db.store(storage.Options{})}
		d := create(t, replicas[0], lighthouse(0))
		key := storage.IdempotencyKey{Key: "tide", Fingerprint: "f"}
		var (
			mu   sync.Mutex
			made int
		)
		together(8, func(caller int) {
			_, v, replayed, err := replicas[caller%2].AddVersion(t.Context(), d.ID, 1, lighthouse(1), key)
			if err != nil || v.Number != 2 {
				t.Errorf("caller %d: %+v, %v", caller, v, err)
			}
			if !replayed {
				mu.Lock()
				made++
				mu.Unlock()
			}
		})
		if got, err := replicas[1].Get(t.Context(), d.ID); err != nil || made != 1 || got.Version != 2 {
			t.Errorf("%d made, kept %+v, %v", made, got, err)
		}
	}},

	// Each pair of calls wants one key for two designs, in both orders, which
	// is where careless locking ends in a deadlock.
	{"of two designs that want one key at once, one gets it", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		for round := range 20 {
			designs := []storage.Design{create(t, s, lighthouse(0)), create(t, s, lighthouse(0))}
			errs := make([]error, 2)
			key := storage.IdempotencyKey{Key: "round-" + string(rune('a'+round)), Fingerprint: "f"}
			together(2, func(caller int) {
				_, _, _, errs[caller] = s.AddVersion(t.Context(), designs[caller].ID, 1, lighthouse(1), key)
			})
			winner := 0
			if errs[0] != nil {
				winner = 1
			}
			if errs[winner] != nil || !errors.Is(errs[1-winner], storage.ErrKeyReused) {
				t.Errorf("round %d: %v", round, errs)
			}
			if got, err := s.Get(t.Context(), designs[1-winner].ID); err != nil || got.Version != 1 {
				t.Errorf("round %d: the loser is %+v, %v", round, got, err)
			}
		}
	}},
}
