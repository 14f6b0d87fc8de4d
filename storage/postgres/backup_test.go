package postgres

import (
	"maps"
	"slices"
	"testing"

	"foldwright/storage/backup"
	"foldwright/storage/postgres/pgtest"

	"github.com/jackc/pgx/v5"
)

// What is in the schema and in no backup fails here, and so does a column. The
// history of migrations is made anew.
func TestBackupsHoldEveryTable(t *testing.T) {
	t.Parallel()
	s := open(t, pgtest.URL(t))
	found, err := s.pool.Query(t.Context(), `
		SELECT table_name, column_name FROM information_schema.columns
		WHERE table_schema = 'public' AND table_name <> 'schema_version'`)
	if err != nil {
		t.Fatal(err)
	}
	pairs, err := pgx.CollectRows(found, func(row pgx.CollectableRow) (p [2]string, err error) { return p, row.Scan(&p[0], &p[1]) })
	if err != nil {
		t.Fatal(err)
	}
	have := map[string][]string{}
	for _, p := range pairs {
		have[p[0]] = append(have[p[0]], p[1])
	}
	for _, table := range backup.Tables {
		for _, c := range table.Columns {
			i := slices.Index(have[table.Name], c.Name)
			if i < 0 {
				t.Fatalf("there is no %s.%s", table.Name, c.Name)
			}
			have[table.Name] = slices.Delete(have[table.Name], i, i+1)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(have)) {
		if len(have[name]) > 0 {
			t.Errorf("no backup holds %q of the table %s", have[name], name)
		}
	}
}
