package storetest

import (
	"errors"
	"reflect"
	"strings"
	"testing"
	"time"

	"foldwright/storage"
	"foldwright/storage/access"
)

var accessKeyTests = []test{
	{"what is returned is what is kept", func(t *testing.T, db database) {
		id := 0
		b := db.store(storage.Options{Now: ticking(), NewID: func() string { id++; return string(rune('a' + id)) }})
		until := time.Date(2030, 1, 2, 3, 4, 5, 678_901_999, time.FixedZone("", 3600))
		first := addKey(t, b.In("quay"), storage.NewKey{Name: "Website — 灯台", Scope: access.Write, ExpiresAt: &until, Hash: "h1"})
		second := addKey(t, b.In("quay"), storage.NewKey{Scope: access.Browser, Origins: []string{"https://workshop.example", "http://localhost:3000"}, Hash: "h2"})
		at := ticking()
		if want := (storage.Key{
			ID: "b", Workspace: "quay", Name: "Website — 灯台", Scope: access.Write, Origins: []string{}, CreatedAt: at(),
			ExpiresAt: new(time.Date(2030, 1, 2, 2, 4, 5, 678_901_000, time.UTC)),
		}); !reflect.DeepEqual(first, want) {
			t.Errorf("made\n%+v, want\n%+v", first, want)
		}
		if got, err := b.In("quay").Keys(t.Context()); err != nil || !reflect.DeepEqual(got, []storage.Key{first, second}) {
			t.Errorf("kept\n%+v, %v, made\n%+v\n%+v", got, err, first, second)
		}
	}},

	{"a key is found by its hash, and its use noted to the minute", func(t *testing.T, db database) {
		now := time.Date(2026, 3, 1, 6, 30, 0, 0, time.UTC)
		b := db.store(storage.Options{Now: func() time.Time { return now }})
		k := addKey(t, b.In("quay"), storage.NewKey{Scope: access.Read, Hash: "h1"})
		addKey(t, b.In("mill"), storage.NewKey{Scope: access.Admin, Hash: "h2"})
		for _, step := range []struct {
			after time.Duration
			want  time.Time
		}{
			{time.Second, now.Add(time.Second)},
			{59 * time.Second, now.Add(time.Second)},
			{time.Second, now.Add(61 * time.Second)},
		} {
			now = now.Add(step.after)
			k.LastUsedAt = &step.want
			for range 2 {
				if got, err := b.UseKey(t.Context(), "h1"); err != nil || !reflect.DeepEqual(got, k) {
					t.Errorf("found\n%+v, %v, want\n%+v", got, err, k)
				}
			}
			if got, err := b.In("quay").Keys(t.Context()); err != nil || !reflect.DeepEqual(got, []storage.Key{k}) {
				t.Errorf("kept\n%+v, %v, want\n%+v", got, err, k)
			}
		}
		for _, hash := range []string{"", "h3", "H1"} {
			if got, err := b.UseKey(t.Context(), hash); !errors.Is(err, storage.ErrNotFound) {
				t.Errorf("%q: %+v, %v", hash, got, err)
			}
		}
	}},

	{"a revoked key stays and is not live", func(t *testing.T, db database) {
		b := db.store(storage.Options{Now: ticking()})
		s := b.In("quay")
		k := addKey(t, s, storage.NewKey{Scope: access.Read, Hash: "h1"})
		other := addKey(t, s, storage.NewKey{Scope: access.Read, Hash: "h2"})
		if err := s.RevokeKey(t.Context(), k.ID); err != nil {
			t.Fatal(err)
		}
		got, err := b.UseKey(t.Context(), "h1")
		if err != nil || got.RevokedAt == nil || got.Live(k.CreatedAt) || got.LastUsedAt != nil {
			t.Errorf("found %+v, %v", got, err)
		}
		if err := s.RevokeKey(t.Context(), k.ID); err != nil {
			t.Errorf("again: %v", err)
		}
		if keys, err := s.Keys(t.Context()); err != nil || !reflect.DeepEqual(keys, []storage.Key{got, other}) {
			t.Errorf("kept %+v, %v", keys, err)
		}
		for _, id := range []string{"", "gull", "gu\x00ll", "gu\xffll"} {
			if err := s.RevokeKey(t.Context(), id); !errors.Is(err, storage.ErrNotFound) {
				t.Errorf("%q: %v", id, err)
			}
		}
	}},

	{"whether there is a key, and for which origins", func(t *testing.T, db database) {
		now := time.Date(2026, 3, 1, 6, 30, 0, 0, time.UTC)
		b := db.store(storage.Options{Now: func() time.Time { return now }})
		until := now.Add(time.Hour)
		is := func(when string, key, origin bool) {
			t.Helper()
			if got, err := b.HasKey(t.Context()); err != nil || got != key {
				t.Errorf("%s: has a key %v, %v", when, got, err)
			}
			if got, err := b.HasOrigin(t.Context(), "https://workshop.example"); err != nil || got != origin {
				t.Errorf("%s: has the origin %v, %v", when, got, err)
			}
			for _, no := range []string{"", "https://workshop", "workshop.example", "https://workshop.example.evil", "\x00", "\xff"} {
				if got, err := b.HasOrigin(t.Context(), no); err != nil || got {
					t.Errorf("%s: has %q %v, %v", when, no, got, err)
				}
			}
		}
		is("empty", false, false)
		page := addKey(t, b.In("quay"), storage.NewKey{Scope: access.Browser, Hash: "h1", Origins: []string{"http://localhost:3000", "https://workshop.example"}})
		is("a browser key", false, true)
		key := addKey(t, b.In("mill"), storage.NewKey{Scope: access.Read, Hash: "h2", ExpiresAt: &until})
		is("a key", true, true)
		if err := b.In("quay").RevokeKey(t.Context(), page.ID); err != nil {
			t.Fatal(err)
		}
		is("the browser key revoked", true, false)
		addKey(t, b.In("quay"), storage.NewKey{Scope: access.Browser, Hash: "h3", ExpiresAt: &until, Origins: []string{"https://workshop.example"}})
		is("another", true, true)
		now = until
		is("expired", false, false)
		if got, err := b.UseKey(t.Context(), "h2"); err != nil || got.ID != key.ID || got.Live(now) || got.LastUsedAt != nil {
			t.Errorf("expired: found %+v, %v", got, err)
		}
	}},

	{"what makes no key", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		for why, bad := range map[string]storage.NewKey{
			"no scope":                    {Hash: "h"},
			"an unknown scope":            {Scope: "owner", Hash: "h"},
			"no hash":                     {Scope: access.Read},
			"a browser key for no origin": {Scope: access.Browser, Hash: "h"},
			"another key for an origin":   {Scope: access.Read, Hash: "h", Origins: []string{"https://workshop.example"}},
			"an origin that is none":      {Scope: access.Browser, Hash: "h", Origins: []string{"*"}},
			"a name that is no text":      {Scope: access.Read, Hash: "h", Name: "a\x00"},
			"a name that is too long":     {Scope: access.Read, Hash: "h", Name: strings.Repeat("g", storage.MaxNameBytes+1)},
		} {
			if k, err := s.AddKey(t.Context(), bad); !errors.Is(err, storage.ErrInvalid) {
				t.Errorf("%s: %+v, %v", why, k, err)
			}
		}
		addKey(t, s, storage.NewKey{Scope: access.Read, Hash: "h"})
		if _, err := s.AddKey(t.Context(), storage.NewKey{Scope: access.Read, Hash: "h"}); err == nil {
			t.Error("two keys have one secret")
		}
		if keys, err := s.Keys(t.Context()); err != nil || len(keys) != 1 {
			t.Errorf("kept %+v, %v", keys, err)
		}
	}},
}

func addKey(t *testing.T, s storage.Store, nk storage.NewKey) storage.Key {
	t.Helper()
	k, err := s.AddKey(t.Context(), nk)
	if err != nil {
		t.Fatalf("add key %+v: %v", nk, err)
	}
	return k
}
