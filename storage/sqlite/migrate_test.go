package sqlite

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"foldwright/storage"
	"foldwright/storage/storetest"
)

// A schema that is released without designs to migrate from fails here, for
// want of its file.
func TestMigrateFromEveryReleasedSchema(t *testing.T) {
	newest, err := designs().Newest()
	if err != nil {
		t.Fatal(err)
	}
	for version := int64(1); version <= newest; version++ {
		t.Run(fmt.Sprint("schema ", version), func(t *testing.T) {
			t.Parallel()
			path := filepath.Join(t.TempDir(), "harbour.db")
			fixture, err := os.ReadFile(fmt.Sprintf("testdata/schema_%d.sql", version))
			if err != nil {
				t.Fatal(err)
			}
			db, err := openWriter(path)
			if err != nil {
				t.Fatal(err)
			}
			if err := designs().UpTo(t.Context(), db, version); err != nil {
				t.Fatal(err)
			}
			if _, err := db.ExecContext(t.Context(), string(fixture)); err != nil {
				t.Fatal(err)
			}
			if err := db.Close(); err != nil {
				t.Fatal(err)
			}
			s, err := Open(t.Context(), path, storage.Options{})
			if err != nil {
				t.Fatal(err)
			}
			defer s.Close()
			storetest.CheckReleased(t, s, version)
		})
	}
}

func TestMigrateAlone(t *testing.T) {
	path := filepath.Join(t.TempDir(), "deep", "down", "harbour.db")
	for range 2 { // the second finds nothing to do
		if err := Migrate(t.Context(), path); err != nil {
			t.Fatal(err)
		}
	}
	s, err := Open(t.Context(), path, storage.Options{SkipMigrate: true})
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Error(err)
	}
}

func TestSchemaOfANewerProgramIsRefused(t *testing.T) {
	path := filepath.Join(t.TempDir(), "harbour.db")
	if err := Migrate(t.Context(), path); err != nil {
		t.Fatal(err)
	}
	db, err := openWriter(path)
	if err != nil {
		t.Fatal(err)
	}
	_, err = db.ExecContext(t.Context(), "INSERT INTO schema_version (version_id, is_applied) VALUES (9999, 1)")
	if err := errors.Join(err, db.Close()); err != nil {
		t.Fatal(err)
	}
	for _, skip := range []bool{false, true} {
		if s, err := Open(t.Context(), path, storage.Options{SkipMigrate: skip}); !errors.Is(err, storage.ErrSchema) {
			t.Errorf("skip %v: opened %v, %v", skip, s, err)
		}
	}
}
