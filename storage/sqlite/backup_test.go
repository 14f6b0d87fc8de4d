package sqlite

import (
	"maps"
	"slices"
	"testing"

	"foldwright/storage/backup"
)

// What is in the schema and in no backup fails here, and so does a column. The
// index over tags is made anew, and the history of migrations too.
func TestBackupsHoldEveryTable(t *testing.T) {
	s := openTemporary(t)
	found, err := s.readers.QueryContext(t.Context(), `
		SELECT t.name, c.name FROM sqlite_schema AS t, pragma_table_info(t.name) AS c
		WHERE t.type = 'table' AND t.name NOT LIKE 'sqlite%' AND t.name NOT IN ('design_tags', 'schema_version')`)
	pairs, err := collect(found, err, func(row scanner) (p [2]string, err error) { return p, row.Scan(&p[0], &p[1]) })
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
