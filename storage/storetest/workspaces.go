package storetest

import (
	"errors"
	"slices"
	"sync"
	"testing"

	"foldwright/storage"
	"foldwright/storage/access"
)

var workspaceTests = []test{
	{"what one workspace holds is not there for another", func(t *testing.T, db database) {
		b := db.store(storage.Options{})
		ours, theirs := b.In("quay"), b.In("mill")
		d := create(t, ours, lighthouse(1))
		gone := create(t, ours, lighthouse(2))
		if err := ours.Delete(t.Context(), gone.ID, 0); err != nil {
			t.Fatal(err)
		}
		share := addShare(t, ours, d.ID, storage.NewShare{Hash: "s"})
		key := addKey(t, ours, storage.NewKey{Scope: access.Read, Hash: "k"})
		ctx := t.Context()
		for _, id := range []string{d.ID, gone.ID} {
			_, get := theirs.Get(ctx, id)
			_, version := theirs.Version(ctx, id, 1)
			_, versions := theirs.Versions(ctx, id, storage.VersionQuery{})
			_, _, _, added := theirs.AddVersion(ctx, id, 1, lighthouse(3), noKey)
			_, _, restored := theirs.Restore(ctx, id)
			_, shared := theirs.AddShare(ctx, id, storage.NewShare{Hash: "t"})
			_, shares := theirs.Shares(ctx, id)
			for call, err := range map[string]error{
				"get": get, "version": version, "versions": versions, "add": added, "restore": restored, "delete": theirs.Delete(ctx, id, 0),
				"share": shared, "shares": shares, "revoke a share": theirs.RevokeShare(ctx, id, share.ID), "revoke a key": theirs.RevokeKey(ctx, key.ID),
			} {
				if !errors.Is(err, storage.ErrNotFound) {
					t.Errorf("%s: %v", call, err)
				}
			}
		}
		for _, q := range []storage.Query{{}, {Deleted: true}, {Tags: []string{"harbour"}}, {Search: "house"}} {
			if got := all(t, theirs, q); len(got) != 0 {
				t.Errorf("list %+v: %+v", q, got)
			}
			if got := all(t, ours, q); len(got) != 1 {
				t.Errorf("our list %+v: %+v", q, got)
			}
		}
		if keys, err := theirs.Keys(ctx); err != nil || len(keys) != 0 {
			t.Errorf("keys %+v, %v", keys, err)
		}
		if u, err := theirs.Usage(ctx); err != nil || u != (storage.Usage{}) {
			t.Errorf("usage %+v, %v", u, err)
		}
	}},

	{"a tag is listed in its own workspace only", func(t *testing.T, db database) {
		b := db.store(storage.Options{Now: ticking()})
		ours, theirs := b.In("quay"), b.In("mill")
		var want []string
		for range 3 {
			want = append(want, create(t, ours, titled("Gull", "bird")).ID)
			create(t, theirs, titled("Gull", "bird"))
		}
		slices.Reverse(want)
		if got := ids(all(t, ours, storage.Query{Tags: []string{"bird"}, Limit: 1})); !slices.Equal(got, want) {
			t.Errorf("listed %v, want %v", got, want)
		}
	}},

	{"an idempotency key belongs to its workspace", func(t *testing.T, db database) {
		b := db.store(storage.Options{})
		ours, theirs := b.In("quay"), b.In("mill")
		key := storage.IdempotencyKey{Key: "tide-1", Fingerprint: "f"}
		d, _, _, err := ours.Create(t.Context(), lighthouse(1), key)
		if err != nil {
			t.Fatal(err)
		}
		got, _, replayed, err := theirs.Create(t.Context(), lighthouse(1), key)
		if err != nil || replayed || got.ID == d.ID {
			t.Errorf("made %+v, replayed %v, %v", got, replayed, err)
		}
		key.Fingerprint = "g" // another request, which the first workspace refuses
		if _, _, _, err := b.In("pier").Create(t.Context(), lighthouse(1), key); err != nil {
			t.Error(err)
		}
		if _, _, _, err := ours.Create(t.Context(), lighthouse(1), key); !errors.Is(err, storage.ErrKeyReused) {
			t.Error(err)
		}
	}},

	{"workspaces are listed once they are used", func(t *testing.T, db database) {
		b := db.store(storage.Options{})
		create(t, b.In("quay"), lighthouse(1))
		addKey(t, b.In("mill"), storage.NewKey{Scope: access.Read, Hash: "k"})
		b.In("pier")
		if got, err := b.Workspaces(t.Context()); err != nil || !slices.Equal(got, []string{access.Local, "mill", "quay"}) {
			t.Errorf("%v, %v", got, err)
		}
	}},

	// Calls in every order hold the lock of a design, of a key and of what is
	// counted, which is where careless locking ends in a deadlock.
	{"many workspaces and calls at once", func(t *testing.T, db database) {
		replicas := []opened{db.store(storage.Options{}), db.store(storage.Options{})}
		names := []string{"quay", "mill"}
		var (
			mu   sync.Mutex
			made = map[string]int64{}
		)
		together(8, func(caller int) {
			name := names[caller/2%2]
			s := replicas[caller%2].In(name)
			for n := range 6 {
				key := storage.IdempotencyKey{Key: string(rune('a' + n)), Fingerprint: "f"}
				d, _, replayed, err := s.Create(t.Context(), lighthouse(n), key)
				if err != nil {
					t.Errorf("create: %v", err)
					return
				}
				if _, _, _, err := s.AddVersion(t.Context(), d.ID, 0, lighthouse(100+caller), noKey); err != nil {
					t.Errorf("add: %v", err)
				}
				if _, err := s.AddKey(t.Context(), storage.NewKey{Scope: access.Read, Hash: name + string(rune('a'+caller)) + string(rune('a'+n))}); err != nil {
					t.Errorf("add a key: %v", err)
				}
				if !replayed {
					mu.Lock()
					made[name]++
					mu.Unlock()
				}
			}
		})
		for _, name := range names {
			u, err := replicas[0].In(name).Usage(t.Context())
			if err != nil || u.Designs != 6 || made[name] != 6 || u.Versions < 12 {
				t.Errorf("%s: %d made, usage %+v, %v", name, made[name], u, err)
			}
		}
	}},
}
