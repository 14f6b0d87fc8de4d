package storetest

import (
	"errors"
	"fmt"
	"sync/atomic"
	"testing"

	"foldwright/storage"
	"foldwright/storage/access"
)

var quotaTests = []test{
	{"usage counts what is kept", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		is := func(when string, want storage.Usage) {
			t.Helper()
			if got, err := s.Usage(t.Context()); err != nil || got != want {
				t.Errorf("%s: %+v, %v, want %+v", when, got, err, want)
			}
		}
		is("empty", storage.Usage{})
		key := storage.IdempotencyKey{Key: "tide-1", Fingerprint: "f"}
		d, _, _, err := s.Create(t.Context(), holding([]byte("12345")), key)
		if err != nil {
			t.Fatal(err)
		}
		is("a design", storage.Usage{Designs: 1, Versions: 1, Bytes: 5})
		if _, _, _, err := s.Create(t.Context(), holding([]byte("12345")), key); err != nil {
			t.Fatal(err)
		}
		is("the call repeated", storage.Usage{Designs: 1, Versions: 1, Bytes: 5})
		add(t, s, d.ID, 1, holding([]byte("123")))
		is("a version", storage.Usage{Designs: 1, Versions: 2, Bytes: 8})
		add(t, s, d.ID, 2, holding([]byte("123")))
		is("nothing new", storage.Usage{Designs: 1, Versions: 2, Bytes: 8})
		if _, _, _, err := s.AddVersion(t.Context(), d.ID, 1, holding([]byte("1")), noKey); !errors.Is(err, storage.ErrConflict) {
			t.Fatal(err)
		}
		is("a conflict", storage.Usage{Designs: 1, Versions: 2, Bytes: 8})
		if err := s.Delete(t.Context(), d.ID, 0); err != nil {
			t.Fatal(err)
		}
		is("deleted", storage.Usage{Designs: 0, Versions: 2, Bytes: 8})
		for range 2 {
			if _, _, err := s.Restore(t.Context(), d.ID); err != nil {
				t.Fatal(err)
			}
			is("restored", storage.Usage{Designs: 1, Versions: 2, Bytes: 8})
		}
	}},

	{"what passes the quota is refused whole", func(t *testing.T, db database) {
		for what, quota := range map[string]storage.Quota{
			"designs": {Designs: 1}, "versions": {Versions: 2}, "bytes": {Bytes: 10},
		} {
			b := db.store(storage.Options{Quota: quota})
			s := b.In("quay-" + what)
			d := create(t, s, holding([]byte("12345")))
			if what != "designs" { // whose versions are not bounded
				add(t, s, d.ID, 1, holding([]byte("54321")))
				_, _, _, err := s.AddVersion(t.Context(), d.ID, 2, holding([]byte("1")), noKey)
				isQuota(t, what, err)
			}
			before, err := s.Usage(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			key := storage.IdempotencyKey{Key: "tide", Fingerprint: "f"}
			_, _, _, err = s.Create(t.Context(), holding([]byte("1")), key)
			isQuota(t, what, err)
			if after, err := s.Usage(t.Context()); err != nil || after != before {
				t.Errorf("%s: usage %+v, %v, before %+v", what, after, err, before)
			}
			if got := all(t, s, storage.Query{}); len(got) != 1 {
				t.Errorf("%s: kept %+v", what, got)
			}
			// Another workspace has room of its own, and the key was not used.
			if _, _, replayed, err := b.In("mill-"+what).Create(t.Context(), holding([]byte("1")), key); err != nil || replayed {
				t.Errorf("%s: another workspace: replayed %v, %v", what, replayed, err)
			}
		}
	}},

	{"deleting makes room for a design, and restoring needs it", func(t *testing.T, db database) {
		s := db.store(storage.Options{Quota: storage.Quota{Designs: 1}})
		d := create(t, s, lighthouse(1))
		if err := s.Delete(t.Context(), d.ID, 0); err != nil {
			t.Fatal(err)
		}
		create(t, s, lighthouse(2))
		_, _, err := s.Restore(t.Context(), d.ID)
		isQuota(t, "designs", err)
		if _, err := s.Get(t.Context(), d.ID); !errors.Is(err, storage.ErrDeleted) {
			t.Errorf("after a refused restore: %v", err)
		}
	}},

	{"keys and shares are bounded", func(t *testing.T, db database) {
		if testing.Short() {
			t.Skip("makes thousands of them")
		}
		b := db.store(storage.Options{})
		s := b.In("quay")
		d := create(t, s, lighthouse(1))
		for n := range storage.MaxKeys {
			addKey(t, s, storage.NewKey{Scope: access.Read, Hash: fmt.Sprint(n)})
		}
		_, err := s.AddKey(t.Context(), storage.NewKey{Scope: access.Read, Hash: "one more"})
		isQuota(t, "keys", err)
		for n := range storage.MaxShares {
			addShare(t, s, d.ID, storage.NewShare{Hash: fmt.Sprint(n)})
		}
		_, err = s.AddShare(t.Context(), d.ID, storage.NewShare{Hash: "one more"})
		isQuota(t, "shares", err)
		addShare(t, s, create(t, s, lighthouse(1)).ID, storage.NewShare{Hash: "of another design"})
		addKey(t, b.In("mill"), storage.NewKey{Scope: access.Read, Hash: "of another workspace"})
	}},

	{"a lower quota leaves what is there, and lets it shrink", func(t *testing.T, db database) {
		wide := db.store(storage.Options{})
		d := create(t, wide, lighthouse(1))
		create(t, wide, lighthouse(2))
		narrow := db.store(storage.Options{Quota: storage.Quota{Designs: 1}})
		add(t, narrow, d.ID, 1, lighthouse(3))
		if err := narrow.Delete(t.Context(), d.ID, 0); err != nil {
			t.Error(err)
		}
	}},

	{"callers at once do not pass the quota together", func(t *testing.T, db database) {
		const callers, room = 12, 5
		options := storage.Options{Quota: storage.Quota{Designs: room}}
		replicas := []opened{db.store(options), db.store(options)}
		var made atomic.Int64
		together(callers, func(caller int) {
			_, _, _, err := replicas[caller%2].Create(t.Context(), lighthouse(caller), noKey)
			if err == nil {
				made.Add(1)
			} else if !errors.Is(err, storage.ErrQuota) {
				t.Errorf("caller %d: %v", caller, err)
			}
		})
		if got := all(t, replicas[0], storage.Query{}); made.Load() != room || len(got) != room {
			t.Errorf("%d made, %d kept, want %d", made.Load(), len(got), room)
		}
	}},
}

func isQuota(t *testing.T, what string, err error) {
	t.Helper()
	full, ok := errors.AsType[*storage.QuotaError](err)
	if !ok || full.What != what || !errors.Is(err, storage.ErrQuota) {
		t.Errorf("%s: %v", what, err)
	}
}
