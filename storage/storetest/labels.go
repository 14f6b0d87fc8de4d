package storetest

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"foldwright/storage"
)

var labelTests = []test{
	{"a label names one version of its design", func(t *testing.T, db database) {
		s := db.store(storage.Options{Now: ticking()})
		d := create(t, s, lighthouse(1))
		other := create(t, s, lighthouse(1))
		for n := 2; n <= 3; n++ {
			add(t, s, d.ID, 0, lighthouse(n))
		}
		setLabel(t, s, d.ID, 1, "proof")
		setLabel(t, s, d.ID, 1, "as printed")
		setLabel(t, s, d.ID, 3, "as printed") // printed again
		setLabel(t, s, d.ID, 3, "as printed")
		setLabel(t, s, d.ID, 3, "Été 2026")
		setLabel(t, s, other.ID, 1, "as printed")
		labelled(t, s, d.ID, map[int][]string{1: {"proof"}, 2: nil, 3: {"as printed", "Été 2026"}})
		labelled(t, s, other.ID, map[int][]string{1: {"as printed"}})

		if err := s.DropLabel(t.Context(), d.ID, 3, "as printed"); err != nil {
			t.Error(err)
		}
		labelled(t, s, d.ID, map[int][]string{1: {"proof"}, 2: nil, 3: {"Été 2026"}})
		for why, err := range map[string]error{
			"dropped already":    s.DropLabel(t.Context(), d.ID, 3, "as printed"),
			"of another version": s.DropLabel(t.Context(), d.ID, 2, "proof"),
			"in another case":    s.DropLabel(t.Context(), d.ID, 1, "Proof"),
			"no such version":    s.SetLabel(t.Context(), d.ID, 4, "x"),
			"version 0":          s.SetLabel(t.Context(), d.ID, 0, "x"),
			"no such design":     s.SetLabel(t.Context(), "nowhere", 1, "x"),
			"another workspace":  s.In("mill").SetLabel(t.Context(), d.ID, 1, "x"),
		} {
			if !errors.Is(err, storage.ErrNotFound) {
				t.Errorf("%s: %v", why, err)
			}
		}
		none, has := &storage.NoLabelError{}, &storage.NoLabelError{}
		if err := s.DropLabel(t.Context(), d.ID, 2, "proof"); !errors.As(err, &none) || none.On != 1 || len(none.Has) != 0 {
			t.Errorf("of another version: %+v", err)
		}
		if err := s.DropLabel(t.Context(), d.ID, 3, "pruf"); !errors.As(err, &has) || has.On != 0 || !slices.Equal(has.Has, []string{"Été 2026"}) {
			t.Errorf("misspelt: %+v", err)
		}
		for _, label := range []string{"", "a\x00", "\xff", strings.Repeat("é", storage.MaxLabel+1), ".", "..", "a/b", "a\nb"} {
			if err := s.SetLabel(t.Context(), d.ID, 1, label); !errors.Is(err, storage.ErrInvalid) {
				t.Errorf("%q: %v", label, err)
			}
		}
	}},

	{"a label changes nothing of its version", func(t *testing.T, db database) {
		s := db.store(storage.Options{Now: ticking()})
		d := create(t, s, lighthouse(1))
		before, err := s.Version(t.Context(), d.ID, 1)
		if err != nil {
			t.Fatal(err)
		}
		setLabel(t, s, d.ID, 1, "proof")
		if after, err := s.Version(t.Context(), d.ID, 1); err != nil || !reflect.DeepEqual(after, before) {
			t.Errorf("%+v, %v, was %+v", after, err, before)
		}
		if got, err := s.Get(t.Context(), d.ID); err != nil || !reflect.DeepEqual(got, d) {
			t.Errorf("%+v, %v, was %+v", got, err, d)
		}
	}},

	{"designs are found by the label of any version", func(t *testing.T, db database) {
		s := db.store(storage.Options{Now: ticking()})
		d := create(t, s, lighthouse(1))
		create(t, s, lighthouse(1))
		setLabel(t, s, d.ID, 1, "as printed")
		add(t, s, d.ID, 1, lighthouse(2))
		for _, q := range []storage.Query{{Label: "as printed"}, {Label: "as printed", Tags: []string{"harbour"}}} {
			if got := ids(all(t, s, q)); !slices.Equal(got, []string{d.ID}) {
				t.Errorf("%+v: %v", q, got)
			}
		}
		if got := ids(all(t, s, storage.Query{Label: "As printed"})); len(got) != 0 {
			t.Errorf("by another label: %v", got)
		}
	}},

	{"a deleted design takes no labels and keeps those it has", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		d := create(t, s, lighthouse(1))
		setLabel(t, s, d.ID, 1, "proof")
		if err := s.Delete(t.Context(), d.ID, 0); err != nil {
			t.Fatal(err)
		}
		if err := s.SetLabel(t.Context(), d.ID, 1, "x"); !errors.Is(err, storage.ErrDeleted) {
			t.Error(err)
		}
		if err := s.DropLabel(t.Context(), d.ID, 1, "proof"); !errors.Is(err, storage.ErrDeleted) {
			t.Error(err)
		}
		if _, _, err := s.Restore(t.Context(), d.ID); err != nil {
			t.Fatal(err)
		}
		labelled(t, s, d.ID, map[int][]string{1: {"proof"}})
	}},

	{"labels are bounded", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		d := create(t, s, lighthouse(1))
		for n := range storage.MaxLabels {
			setLabel(t, s, d.ID, 1, fmt.Sprint("proof ", n))
		}
		if err := s.SetLabel(t.Context(), d.ID, 1, "one more"); !errors.Is(err, storage.ErrQuota) {
			t.Error(err)
		}
		setLabel(t, s, d.ID, 1, "proof 7") // which is there
	}},
}

func setLabel(t *testing.T, s storage.Store, id string, n int, label string) {
	t.Helper()
	if err := s.SetLabel(t.Context(), id, n, label); err != nil {
		t.Fatalf("label %d %q: %v", n, label, err)
	}
}

func labelled(t *testing.T, s storage.Store, id string, want map[int][]string) {
	t.Helper()
	page, err := s.Versions(t.Context(), id, storage.VersionQuery{})
	if err != nil || len(page.Versions) != len(want) {
		t.Fatalf("versions %+v, %v", page, err)
	}
	for _, v := range page.Versions {
		if !slices.Equal(v.Labels, want[v.Number]) {
			t.Errorf("version %d is labelled %q, want %q", v.Number, v.Labels, want[v.Number])
		}
	}
}
