package postgres

import (
	"errors"
	"fmt"
	"os"
	"testing"

	"foldwright/storage"
	"foldwright/storage/postgres/pgtest"
	"foldwright/storage/storetest"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"
)

// A schema that is released without designs to migrate from fails here, for
// want of its file.
func TestMigrateFromEveryReleasedSchema(t *testing.T) {
	s, err := designs()
	if err != nil {
		t.Fatal(err)
	}
	newest, err := s.Newest()
	if err != nil {
		t.Fatal(err)
	}
	for version := int64(1); version <= newest; version++ {
		t.Run(fmt.Sprint("schema ", version), func(t *testing.T) {
			t.Parallel()
			url := pgtest.URL(t)
			fixture, err := os.ReadFile(fmt.Sprintf("testdata/schema_%d.sql", version))
			if err != nil {
				t.Fatal(err)
			}
			config, err := parse(url)
			if err != nil {
				t.Fatal(err)
			}
			s, err := designs()
			if err != nil {
				t.Fatal(err)
			}
			db := stdlib.OpenDB(*config.ConnConfig)
			if err := errors.Join(s.UpTo(t.Context(), db, version), db.Close()); err != nil {
				t.Fatal(err)
			}
			run(t, url, string(fixture))
			storetest.CheckReleased(t, open(t, url), version)
		})
	}
}

func TestMigrateAlone(t *testing.T) {
	t.Parallel()
	url := pgtest.URL(t)
	for range 2 { // the second finds nothing to do
		if err := Migrate(t.Context(), url); err != nil {
			t.Fatal(err)
		}
	}
	s, err := Open(t.Context(), url, storage.Options{SkipMigrate: true})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	var locks int
	err = s.pool.QueryRow(t.Context(), "SELECT count(*) FROM pg_locks WHERE locktype = 'advisory' "+
		"AND database = (SELECT oid FROM pg_database WHERE datname = current_database())").Scan(&locks)
	if err != nil || locks != 0 {
		t.Errorf("%d advisory locks are left, %v", locks, err)
	}
}

func TestSchemaOfANewerProgramIsRefused(t *testing.T) {
	t.Parallel()
	url := pgtest.URL(t)
	if err := Migrate(t.Context(), url); err != nil {
		t.Fatal(err)
	}
	run(t, url, "INSERT INTO schema_version (version_id, is_applied) VALUES (9999, true)")
	for _, skip := range []bool{false, true} {
		if s, err := Open(t.Context(), url, storage.Options{SkipMigrate: skip}); !errors.Is(err, storage.ErrSchema) {
			t.Errorf("skip %v: opened %v, %v", skip, s, err)
		}
	}
}

// run runs statements without arguments.
func run(t *testing.T, url, statements string) {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(t.Context())
	if _, err := conn.PgConn().Exec(t.Context(), statements).ReadAll(); err != nil {
		t.Fatal(err)
	}
}

func open(t *testing.T, url string) *Store {
	t.Helper()
	s, err := Open(t.Context(), url, storage.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}
