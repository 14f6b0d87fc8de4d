package storetest

import (
	"errors"
	"reflect"
	"strings"
	"testing"
	"time"

	"foldwright/storage"
)

var shareTests = []test{
	{"what is returned is what is kept", func(t *testing.T, db database) {
		b := db.store(storage.Options{Now: ticking()})
		s := b.In("quay")
		d := create(t, s, lighthouse(1))
		add(t, s, d.ID, 1, lighthouse(2))
		until := time.Date(2030, 1, 2, 3, 4, 5, 0, time.UTC)
		pinned := addShare(t, s, d.ID, storage.NewShare{Version: 1, Name: "For the shop", ExpiresAt: &until, Hash: "h1"})
		whole := addShare(t, s, d.ID, storage.NewShare{Hash: "h2"})
		if pinned.Workspace != "quay" || pinned.DesignID != d.ID || pinned.Version != 1 || pinned.Name != "For the shop" ||
			pinned.ExpiresAt == nil || !pinned.ExpiresAt.Equal(until) || whole.Version != 0 || whole.ExpiresAt != nil || pinned.ID == whole.ID {
			t.Errorf("made\n%+v\n%+v", pinned, whole)
		}
		if got, err := s.Shares(t.Context(), d.ID); err != nil || !reflect.DeepEqual(got, []storage.Share{pinned, whole}) {
			t.Errorf("kept\n%+v, %v, made\n%+v\n%+v", got, err, pinned, whole)
		}
		for hash, want := range map[string]storage.Share{"h1": pinned, "h2": whole} {
			if got, err := b.Share(t.Context(), hash); err != nil || !reflect.DeepEqual(got, want) {
				t.Errorf("found\n%+v, %v, want\n%+v", got, err, want)
			}
		}
		if got, err := b.Share(t.Context(), "h3"); !errors.Is(err, storage.ErrNotFound) {
			t.Errorf("found %+v, %v", got, err)
		}
		if !pinned.Live(until.Add(-1)) || pinned.Live(until) || !whole.Live(until) {
			t.Error("a share is live at the wrong time")
		}
	}},

	{"a revoked share stays and is not live", func(t *testing.T, db database) {
		b := db.store(storage.Options{Now: ticking()})
		s := b.In("quay")
		d, other := create(t, s, lighthouse(1)), create(t, s, lighthouse(1))
		share := addShare(t, s, d.ID, storage.NewShare{Hash: "h1"})
		if err := s.RevokeShare(t.Context(), other.ID, share.ID); !errors.Is(err, storage.ErrNotFound) {
			t.Errorf("through another design: %v", err)
		}
		if err := s.Delete(t.Context(), d.ID, 0); err != nil {
			t.Fatal(err)
		}
		if _, err := s.Shares(t.Context(), d.ID); !errors.Is(err, storage.ErrDeleted) {
			t.Errorf("of a deleted design: %v", err)
		}
		if _, err := s.AddShare(t.Context(), d.ID, storage.NewShare{Hash: "h2"}); !errors.Is(err, storage.ErrDeleted) {
			t.Errorf("share a deleted design: %v", err)
		}
		for range 2 { // again changes nothing
			if err := s.RevokeShare(t.Context(), d.ID, share.ID); err != nil {
				t.Fatal(err)
			}
		}
		got, err := b.Share(t.Context(), "h1")
		if err != nil || got.RevokedAt == nil || got.Live(share.CreatedAt) {
			t.Errorf("found %+v, %v", got, err)
		}
		if _, _, err := s.Restore(t.Context(), d.ID); err != nil {
			t.Fatal(err)
		}
		if list, err := s.Shares(t.Context(), d.ID); err != nil || !reflect.DeepEqual(list, []storage.Share{got}) {
			t.Errorf("kept %+v, %v", list, err)
		}
		for _, id := range []string{"", "gull", "gu\x00ll", "gu\xffll"} {
			if err := s.RevokeShare(t.Context(), d.ID, id); !errors.Is(err, storage.ErrNotFound) {
				t.Errorf("%q: %v", id, err)
			}
		}
	}},

	{"what makes no share", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		d := create(t, s, lighthouse(1))
		for why, bad := range map[string]struct {
			id    string
			share storage.NewShare
			want  error
		}{
			"no hash":           {d.ID, storage.NewShare{}, storage.ErrInvalid},
			"a name too long":   {d.ID, storage.NewShare{Hash: "h", Name: strings.Repeat("g", storage.MaxNameBytes+1)}, storage.ErrInvalid},
			"no such design":    {"gull", storage.NewShare{Hash: "h"}, storage.ErrNotFound},
			"no possible id":    {"gu\x00ll", storage.NewShare{Hash: "h"}, storage.ErrNotFound},
			"no such version":   {d.ID, storage.NewShare{Hash: "h", Version: 2}, storage.ErrNotFound},
			"no version at all": {d.ID, storage.NewShare{Hash: "h", Version: -1}, storage.ErrNotFound},
		} {
			if got, err := s.AddShare(t.Context(), bad.id, bad.share); !errors.Is(err, bad.want) {
				t.Errorf("%s: %+v, %v", why, got, err)
			}
		}
		if list, err := s.Shares(t.Context(), d.ID); err != nil || list == nil || len(list) != 0 {
			t.Errorf("kept %+v, %v", list, err)
		}
	}},
}

func addShare(t *testing.T, s storage.Store, designID string, ns storage.NewShare) storage.Share {
	t.Helper()
	share, err := s.AddShare(t.Context(), designID, ns)
	if err != nil {
		t.Fatalf("share %s: %v", designID, err)
	}
	return share
}
