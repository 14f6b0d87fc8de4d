package storetest

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
	"os/exec"
	"reflect"
	"strings"
	"sync"
	"testing"
	"time"

	"foldwright/storage"
	"foldwright/storage/access"
)

// migrateVariable names, to a copy of a test binary, the database to migrate.
const migrateVariable = "FOLDWRIGHT_TEST_MIGRATE"

// migrated is what a copy says when it has done so. Its end tells less: with the
// race detector a process waits a second before it ends.
const migrated = "migrated"

// MigrateIfAsked ends the process after a migration if it is a copy that was
// started for one. A driver's TestMain calls it first.
func MigrateIfAsked(migrate func(ctx context.Context, database string) error) {
	database := os.Getenv(migrateVariable)
	if database == "" {
		return
	}
	fmt.Println("migrating")
	if err := migrate(context.Background(), database); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	fmt.Println(migrated)
	os.Exit(0)
}

// MigrateKilled migrates a database in processes that are killed, each a little
// later than the one before, until one has migrated before it would be.
func MigrateKilled(t *testing.T, database string) {
	t.Helper()
	later := 500 * time.Microsecond
	if testing.Short() {
		later *= 10
	}
	for kills := 0; ; kills++ {
		if kills == 1000 {
			t.Fatal("no process migrates in ", 1000*later)
		}
		c, said := migrator(t, database)
		out, err := c.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		out.Read(make([]byte, 1)) // it is about to begin
		killer := time.AfterFunc(time.Duration(kills)*later, func() { c.Process.Kill() })
		rest, err := io.ReadAll(out)
		if err != nil {
			t.Fatal(err)
		}
		err = c.Wait()
		killer.Stop()
		if bytes.Contains(rest, []byte(migrated)) {
			t.Logf("killed %d times", kills)
			return
		}
		if c.ProcessState.Exited() {
			t.Fatalf("after %d kills: %v: %s", kills, err, said)
		}
	}
}

// MigrateAtOnce migrates a database in three processes at the same time.
func MigrateAtOnce(t *testing.T, database string) {
	t.Helper()
	var all sync.WaitGroup
	for range 3 {
		c, said := migrator(t, database)
		all.Go(func() {
			if err := c.Run(); err != nil {
				t.Errorf("%v: %s", err, said)
			}
		})
	}
	all.Wait()
}

func migrator(t *testing.T, database string) (*exec.Cmd, *bytes.Buffer) {
	t.Helper()
	c, said := exec.CommandContext(t.Context(), os.Args[0]), &bytes.Buffer{}
	c.Env, c.Stderr = append(os.Environ(), migrateVariable+"="+database), said
	return c, said
}

// An Edge is a design at the limits of what is kept, for a driver to write into
// the first schema as that release did.
type Edge struct {
	storage.Design
	Documents [][]byte // of its versions, the oldest first
}

// Edges are as many as there are limits.
func Edges() []Edge {
	made := time.Date(2026, 3, 1, 6, 30, 0, 999_999_000, time.UTC)
	tags := make([]string, 20)
	for i := range tags {
		tags[i] = strings.Repeat(string(rune('a'+i)), 40)
	}
	many := make([][]byte, 500)
	for i := range many {
		many[i] = fmt.Appendf(nil, `{"tide": %d}`, i)
	}
	large := append([]byte{0}, bytes.Repeat([]byte("gull\xff"), 300_000)...)
	list := []Edge{
		{storage.Design{Title: strings.Repeat("🐚", 200), Tags: tags}, [][]byte{{}}},
		{storage.Design{Title: "many versions"}, many},
		{storage.Design{Title: "large"}, [][]byte{large}},
		{storage.Design{Title: "gone", DeletedAt: new(made.Add(time.Hour))}, [][]byte{[]byte("{}")}},
		// Composed and not, right to left, joined, and a byte order mark.
		{storage.Design{Title: "\ufeffÎle I\u0302le ﬀ İ ß \u202eמגדלור 👩🏽‍🚀 '\"\\%_", Tags: []string{`ö,"{}\`, "o\u0308"}}, [][]byte{[]byte(`"\u0000"`)}},
	}
	for i := range list {
		d := &list[i].Design
		d.ID = fmt.Sprintf("0195502a-0000-7000-8000-0000000001%02d", i)
		d.Version, d.CreatedAt, d.UpdatedAt = len(list[i].Documents), made, made
		if d.Tags == nil {
			d.Tags = []string{}
		}
	}
	return list
}

// EdgeHash is that of an edge's document.
func EdgeHash(doc []byte) string {
	sum := sha256.Sum256(doc)
	return "sha256:" + hex.EncodeToString(sum[:])
}

// CheckEdges checks that a store holds the edges byte for byte.
func CheckEdges(t *testing.T, b storage.Backend) {
	t.Helper()
	s, ctx := b.In(access.Local), t.Context()
	for _, e := range Edges() {
		for i, doc := range e.Documents {
			v, err := s.Version(ctx, e.ID, i+1)
			if e.DeletedAt != nil {
				break // looked for below, when it is restored
			}
			if err != nil || !bytes.Equal(v.Document, doc) || v.Hash != EdgeHash(doc) || !v.CreatedAt.Equal(e.CreatedAt) {
				t.Fatalf("%s: version %d has %d bytes and %s, %v", e.Title, i+1, len(v.Document), v.Hash, err)
			}
		}
		if e.DeletedAt == nil {
			if d, err := s.Get(ctx, e.ID); err != nil || !reflect.DeepEqual(d, e.Design) {
				t.Errorf("design\n%+v, %v, want\n%+v", d, err, e.Design)
			}
			if got := ids(all(t, s, storage.Query{Search: e.Title})); len(got) != 1 || got[0] != e.ID {
				t.Errorf("%q is found as %v", e.Title, got)
			}
			for _, tag := range e.Tags {
				if got := ids(all(t, s, storage.Query{Tags: []string{tag}})); len(got) != 1 || got[0] != e.ID {
					t.Errorf("tag %q is found as %v", tag, got)
				}
			}
			continue
		}
		gone := all(t, s, storage.Query{Deleted: true})
		if len(gone) != 1 || !reflect.DeepEqual(gone[0], e.Design) {
			t.Errorf("deleted %+v, want %+v", gone, e.Design)
		}
		if _, v, err := s.Restore(ctx, e.ID); err != nil || v.Hash != EdgeHash(e.Documents[0]) {
			t.Errorf("restored %+v, %v", v, err)
		}
	}
}
