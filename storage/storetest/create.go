package storetest

import (
	"bytes"
	"errors"
	"math/rand/v2"
	"reflect"
	"testing"

	"foldwright/storage"
)

var createTests = []test{
	{"what is returned is what is kept", func(t *testing.T, db database) {
		s := db.store(storage.Options{NewID: func() string { return "lighthouse-1" }, Now: ticking()})
		given := lighthouse(1)
		d, v, _, err := s.Create(t.Context(), given, noKey)
		if err != nil {
			t.Fatal(err)
		}
		at := ticking()()
		if want := (storage.Design{
			ID: "lighthouse-1", Title: "Lighthouse", Tags: []string{"harbour", "v_fold"},
			Version: 1, CreatedAt: at, UpdatedAt: at,
		}); !reflect.DeepEqual(d, want) {
			t.Errorf("made\n%+v, want\n%+v", d, want)
		}
		if want := (storage.Version{
			DesignID: "lighthouse-1", Number: 1, Document: given.Document, Hash: given.Hash,
			CreatedAt: at, Message: "Raise the lamp", Author: "keeper",
		}); !reflect.DeepEqual(v, want) {
			t.Errorf("made\n%+v, want\n%+v", v, want)
		}
		if got, err := s.Get(t.Context(), d.ID); err != nil || !reflect.DeepEqual(got, d) {
			t.Errorf("kept\n%+v, %v, made\n%+v", got, err, d)
		}
		if got, err := s.Version(t.Context(), d.ID, 1); err != nil || !reflect.DeepEqual(got, v) {
			t.Errorf("kept\n%+v, %v, made\n%+v", got, err, v)
		}
	}},

	{"ids are made when none are injected", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		a, b := create(t, s, lighthouse(0)), create(t, s, lighthouse(0))
		if a.ID == "" || a.ID == b.ID {
			t.Errorf("ids %q and %q", a.ID, b.ID)
		}
	}},

	{"empty parts", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		d := create(t, s, storage.NewVersion{})
		got, err := s.Get(t.Context(), d.ID)
		if err != nil || got.Title != "" || got.Tags == nil || len(got.Tags) != 0 {
			t.Errorf("kept %+v, %v", got, err)
		}
		v, err := s.Version(t.Context(), d.ID, 1)
		if err != nil || len(v.Document) != 0 {
			t.Errorf("kept %+v, %v", v, err)
		}
	}},

	// Neither text encoding nor JSON normalisation may touch a document: its
	// hash is part of the contract.
	{"every byte of a document", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		document := []byte("{ \"b\":1e2,\r\n\"a\" : \"\\u00e9\" }\x00\xff\xfe")
		for b := range 256 {
			document = append(document, byte(b))
		}
		d := create(t, s, holding(document))
		got, err := s.Version(t.Context(), d.ID, 1)
		if err != nil || !bytes.Equal(got.Document, document) {
			t.Errorf("kept %q, %v", got.Document, err)
		}
	}},

	{"a document of 2 MB", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		random := rand.NewChaCha8([32]byte{'g', 'u', 'l', 'l'}) // incompressible
		document := make([]byte, 2<<20)
		random.Read(document)
		d := create(t, s, holding(document))
		got, err := s.Version(t.Context(), d.ID, 1)
		if err != nil || !bytes.Equal(got.Document, document) {
			t.Errorf("kept %d bytes, %v", len(got.Document), err)
		}
	}},

	{"text in every script", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		given := titled("Île d'Ouessant — 灯台 🗼 \"'\\%_\n", "phare", "灯台", `"`, `{a,b}`, `\`, "NULL", " ")
		given.Message, given.Author = "Ünïcode\t", "Ægir"
		d := create(t, s, given)
		got, err := s.Get(t.Context(), d.ID)
		if err != nil || got.Title != given.Title || !reflect.DeepEqual(got.Tags, given.Tags) {
			t.Errorf("kept %+v, %v", got, err)
		}
		v, err := s.Version(t.Context(), d.ID, 1)
		if err != nil || v.Message != given.Message || v.Author != given.Author {
			t.Errorf("kept %+v, %v", v, err)
		}
	}},

	{"what cannot be kept is refused whole", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		for _, bad := range []string{"Qu\x00ay", "Qu\xffay"} {
			if _, _, _, err := s.Create(t.Context(), titled(bad), noKey); !errors.Is(err, storage.ErrInvalid) {
				t.Errorf("title %q: %v", bad, err)
			}
			if _, _, _, err := s.Create(t.Context(), titled("Quay", bad), noKey); !errors.Is(err, storage.ErrInvalid) {
				t.Errorf("tag %q: %v", bad, err)
			}
			key := storage.IdempotencyKey{Key: bad}
			if _, _, _, err := s.Create(t.Context(), titled("Quay"), key); !errors.Is(err, storage.ErrInvalid) {
				t.Errorf("key %q: %v", bad, err)
			}
		}
		if page, err := s.List(t.Context(), storage.Query{}); err != nil || len(page.Designs) != 0 {
			t.Errorf("kept %+v, %v", page.Designs, err)
		}
	}},

	{"an id that was never made", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		create(t, s, lighthouse(0))
		ctx := t.Context()
		for _, id := range []string{"", "gull", "gu\x00ll", "gu\xffll", "%", "' OR ''='"} {
			_, get := s.Get(ctx, id)
			_, version := s.Version(ctx, id, 1)
			_, versions := s.Versions(ctx, id, storage.VersionQuery{})
			_, _, _, added := s.AddVersion(ctx, id, 1, lighthouse(1), noKey)
			_, _, restored := s.Restore(ctx, id)
			for call, err := range map[string]error{
				"get": get, "version": version, "versions": versions,
				"add": added, "delete": s.Delete(ctx, id, 0), "restore": restored,
			} {
				if !errors.Is(err, storage.ErrNotFound) {
					t.Errorf("%s %q: %v", call, id, err)
				}
			}
		}
	}},
}
