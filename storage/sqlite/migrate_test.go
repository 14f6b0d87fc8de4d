package sqlite

import (
	"database/sql"
	"encoding/json"
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
			path := released(t, version)
			s, err := Open(t.Context(), path, storage.Options{})
			if err != nil {
				t.Fatal(err)
			}
			defer s.Close()
			storetest.CheckReleased(t, s, version)
		})
	}
}

// released is a file that an earlier release has left, with designs.
func released(t *testing.T, version int64) (path string) {
	t.Helper()
	fixture, err := os.ReadFile(fmt.Sprintf("testdata/schema_%d.sql", version))
	if err != nil {
		t.Fatal(err)
	}
	return left(t, version, func(db *sql.DB) error {
		_, err := db.ExecContext(t.Context(), string(fixture))
		return err
	})
}

// left is a file with the schema of an earlier release, filled by a function.
func left(t *testing.T, version int64, fill func(db *sql.DB) error) (path string) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "harbour.db")
	db, err := openWriter(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := designs().UpTo(t.Context(), db, version); err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(fill(db), db.Close()); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestMigrateKilledAndAtOnce(t *testing.T) {
	newest, err := designs().Newest()
	if err != nil {
		t.Fatal(err)
	}
	for version := int64(1); version < newest; version++ {
		for how, migrate := range map[string]func(*testing.T, string){"killed": storetest.MigrateKilled, "at once": storetest.MigrateAtOnce} {
			t.Run(fmt.Sprint("schema ", version, " ", how), func(t *testing.T) {
				path := released(t, version)
				migrate(t, path)
				s, err := Open(t.Context(), path, storage.Options{SkipMigrate: true})
				if err != nil {
					t.Fatal(err)
				}
				defer s.Close()
				storetest.CheckReleased(t, s, version)
				whole(t, s)
			})
		}
	}
}

func TestMigrateEdges(t *testing.T) {
	path := left(t, 1, func(db *sql.DB) (err error) {
		write := func(statement string, args ...any) {
			_, execErr := db.ExecContext(t.Context(), statement, args...)
			err = errors.Join(err, execErr)
		}
		for _, e := range storetest.Edges() {
			tags, jsonErr := json.Marshal(e.Tags)
			err = errors.Join(err, jsonErr)
			at := e.CreatedAt.UnixMicro()
			var deleted *int64
			if e.DeletedAt != nil {
				deleted = new(e.DeletedAt.UnixMicro())
			}
			write("INSERT INTO designs VALUES (?, ?, ?, ?, ?, ?, ?, ?)", e.ID, e.Title, storage.Fold(e.Title), string(tags), e.Version, at, at, deleted)
			for _, tag := range e.Tags {
				write("INSERT INTO design_tags VALUES (?, ?, ?)", tag, at, e.ID)
			}
			for i, doc := range e.Documents {
				write("INSERT INTO versions VALUES (?, ?, ?, ?, '', '', ?)", e.ID, i+1, storetest.EdgeHash(doc), at, doc)
			}
		}
		return err
	})
	storetest.MigrateKilled(t, path)
	s, err := Open(t.Context(), path, storage.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	storetest.CheckEdges(t, s)
	whole(t, s)
}

// whole asks SQLite itself.
func whole(t *testing.T, s *Store) {
	t.Helper()
	var verdict string
	if err := s.readers.QueryRowContext(t.Context(), "PRAGMA integrity_check").Scan(&verdict); err != nil || verdict != "ok" {
		t.Errorf("integrity: %s, %v", verdict, err)
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
