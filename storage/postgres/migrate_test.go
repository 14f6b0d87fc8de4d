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
			url := released(t, version)
			storetest.CheckReleased(t, open(t, url), version)
		})
	}
}

// released is a database that an earlier release has left, with designs.
func released(t *testing.T, version int64) (url string) {
	t.Helper()
	fixture, err := os.ReadFile(fmt.Sprintf("testdata/schema_%d.sql", version))
	if err != nil {
		t.Fatal(err)
	}
	url = left(t, version)
	run(t, url, string(fixture))
	return url
}

// left is an empty database with the schema of an earlier release.
func left(t *testing.T, version int64) (url string) {
	t.Helper()
	url = pgtest.URL(t)
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
	return url
}

func TestMigrateKilledAndAtOnce(t *testing.T) {
	s, err := designs()
	if err != nil {
		t.Fatal(err)
	}
	newest, err := s.Newest()
	if err != nil {
		t.Fatal(err)
	}
	for version := int64(1); version < newest; version++ {
		for how, migrate := range map[string]func(*testing.T, string){"killed": storetest.MigrateKilled, "at once": storetest.MigrateAtOnce} {
			t.Run(fmt.Sprint("schema ", version, " ", how), func(t *testing.T) {
				t.Parallel()
				url := released(t, version)
				migrate(t, url)
				storetest.CheckReleased(t, open(t, url), version)
			})
		}
	}
}

func TestMigrateEdges(t *testing.T) {
	t.Parallel()
	url := left(t, 1)
	conn, err := pgx.Connect(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(t.Context())
	var batch pgx.Batch
	for _, e := range storetest.Edges() {
		batch.Queue("INSERT INTO designs (id, title, title_folded, tags, version, created_at, updated_at, deleted_at) VALUES ($1, $2, $3, $4, $5, $6, $6, $7)",
			e.ID, e.Title, storage.Fold(e.Title), e.Tags, e.Version, e.CreatedAt, e.DeletedAt)
		for i, doc := range e.Documents {
			batch.Queue("INSERT INTO versions (design_id, number, hash, created_at, message, author, document) VALUES ($1, $2, $3, $4, '', '', $5)",
				e.ID, i+1, storetest.EdgeHash(doc), e.CreatedAt, doc)
		}
	}
	if err := conn.SendBatch(t.Context(), &batch).Close(); err != nil {
		t.Fatal(err)
	}
	storetest.MigrateKilled(t, url)
	storetest.CheckEdges(t, open(t, url))
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
