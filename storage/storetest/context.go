package storetest

import (
	"context"
	"errors"
	"testing"
	"time"

	"foldwright/storage"
	"foldwright/storage/access"
)

var contextTests = []test{
	{"an ended context ends every call", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		d := create(t, s, lighthouse(1))
		canceled, cancel := context.WithCancel(t.Context())
		cancel()
		expired, cancel := context.WithDeadline(t.Context(), time.Now().Add(-time.Second))
		defer cancel()
		for ctx, want := range map[context.Context]error{
			canceled: context.Canceled, expired: context.DeadlineExceeded,
		} {
			_, _, _, created := s.Create(ctx, lighthouse(2), noKey)
			_, get := s.Get(ctx, d.ID)
			_, list := s.List(ctx, storage.Query{})
			_, _, _, added := s.AddVersion(ctx, d.ID, 1, lighthouse(2), noKey)
			_, version := s.Version(ctx, d.ID, 1)
			_, versions := s.Versions(ctx, d.ID, storage.VersionQuery{})
			_, head := s.Head(ctx, d.ID)
			_, purged := s.Purge(ctx, 1)
			exported := s.Export(ctx, func(storage.Design, storage.VersionOf) error { return nil })
			_, imported := s.Import(ctx, d, nil, false)
			_, _, restored := s.Restore(ctx, d.ID)
			_, usage := s.Usage(ctx)
			_, addedKey := s.AddKey(ctx, storage.NewKey{Scope: access.Read, Hash: "h"})
			_, keys := s.Keys(ctx)
			_, addedShare := s.AddShare(ctx, d.ID, storage.NewShare{Hash: "h"})
			_, shares := s.Shares(ctx, d.ID)
			_, workspaces := s.Workspaces(ctx)
			_, usedKey := s.UseKey(ctx, "h")
			_, hasKey := s.HasKey(ctx)
			_, hasOrigin := s.HasOrigin(ctx, "https://workshop.example")
			_, share := s.Share(ctx, "h")
			for call, err := range map[string]error{
				"create": created, "get": get, "list": list, "add": added, "version": version,
				"versions": versions, "delete": s.Delete(ctx, d.ID, 1), "restore": restored, "ping": s.Ping(ctx),
				"head": head, "export": exported, "import": imported, "purge": purged, "label": s.SetLabel(ctx, d.ID, 1, "proof"), "drop a label": s.DropLabel(ctx, d.ID, 1, "proof"),
				"usage": usage, "add a key": addedKey, "keys": keys, "revoke a key": s.RevokeKey(ctx, "k"),
				"add a share": addedShare, "shares": shares, "revoke a share": s.RevokeShare(ctx, d.ID, "s"),
				"workspaces": workspaces, "use a key": usedKey, "has a key": hasKey, "has an origin": hasOrigin, "share": share,
			} {
				if !errors.Is(err, want) {
					t.Errorf("%s: %v, want %v", call, err, want)
				}
			}
		}
		if got := all(t, s, storage.Query{}); len(got) != 1 || got[0].Version != 1 {
			t.Errorf("left %+v", got)
		}
	}},

	// Whenever the context ends, a write is there whole or not at all, and the
	// store goes on working.
	{"a write that is cut off is whole or absent", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		d := create(t, s, lighthouse(0))
		for round := range 60 {
			before, err := s.Get(t.Context(), d.ID)
			if err != nil {
				t.Fatal(err)
			}
			key := storage.IdempotencyKey{Key: d.ID + string(rune('A'+round)), Fingerprint: "f"}
			given := lighthouse(round + 1)
			ctx, cancel := context.WithTimeout(t.Context(), time.Duration(round*20)*time.Microsecond)
			_, _, _, err = s.AddVersion(ctx, d.ID, before.Version, given, key)
			cancel()
			if err != nil && !errors.Is(err, context.DeadlineExceeded) {
				t.Fatalf("round %d: %v", round, err)
			}
			// The same call again completes what was cut off, or finds it done.
			after, v, _, repeated := s.AddVersion(t.Context(), d.ID, before.Version, given, key)
			if repeated != nil || after.Version != before.Version+1 || v.Number != after.Version || v.Hash != given.Hash {
				t.Fatalf("round %d: %+v, %+v, %v, after %v", round, after, v, repeated, err)
			}
		}
	}},
}
