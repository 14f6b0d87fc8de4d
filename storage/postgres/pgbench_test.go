//go:build linux

package postgres_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"foldwright/storage"
	"foldwright/storage/postgres"
	"foldwright/storage/postgres/pgtest"
	"foldwright/testdata/designs"

	"github.com/jackc/pgx/v5"
)

const writers = 16

// rounds are how many there are and how long each takes. With -short the figures
// are worth nothing, and only show that the benchmark runs.
func rounds() (n int, each time.Duration) {
	if testing.Short() {
		return 1, time.Second
	}
	return 5, 3 * time.Second
}

// leastScript is the least a durable version takes: the head of a design goes
// on, and a row is added, in one transaction. Each client has its own design.
// What is stored goes to the server each time, as parameters (-D).
const leastScript = `BEGIN;
UPDATE designs SET version = version + 1, updated_at = now() WHERE id = 'buoy-' || :client_id::int RETURNING version \gset
INSERT INTO versions (design_id, number, hash, created_at, message, author, document)
VALUES ('buoy-' || :client_id::int, :version::bigint, :hash, now(), :message, :author, :document);
COMMIT;
`

// sameScript is the transaction that the service runs, each statement of which
// pgbench waits for: the design is locked and compared, and counted in what its
// workspace may hold.
func sameScript(b *testing.B) string {
	b.Helper()
	script := "BEGIN ISOLATION LEVEL READ COMMITTED;\nSET LOCAL idle_in_transaction_session_timeout = '15s';\n"
	for _, s := range []struct {
		query, end string
		arguments  []string
	}{
		{"lock_design", " \\gset\n", []string{buoy, "'pgbench'"}},
		{"share_workspace", ";\n", []string{"'pgbench'"}},
		{"grow", ";\n", []string{"'pgbench'", "0", "1", "length(:document::bytea)"}},
		{"insert_version", ";\n", []string{buoy, ":version::bigint + 1", ":hash", "now()", ":message", ":author", ":document"}},
		{"update_design", ";\n", []string{buoy, "'Lighthouse'", "'lighthouse'", "'{harbour,v_fold}'", ":version::bigint + 1", "now()"}},
	} {
		text, err := os.ReadFile("queries/" + s.query + ".sql")
		if err != nil {
			b.Fatal(err)
		}
		statement := sqlComment.ReplaceAllString(string(text), "")
		for i, a := range s.arguments {
			statement = strings.ReplaceAll(statement, "$"+strconv.Itoa(i+1), a)
		}
		script += strings.Join(strings.Fields(statement), " ") + s.end
	}
	return script + "COMMIT;\n"
}

const buoy = "'buoy-' || :client_id::int"

var sqlComment = regexp.MustCompile(`(?m)^--.*$`)

// BenchmarkVersionsAgainstPgbench is the rate at which 16 writers add versions,
// durably, against those of pgbench on the same server, which does the least and
// the same. They take turns, so that what else the machine does meets them all;
// the figures are medians.
func BenchmarkVersionsAgainstPgbench(b *testing.B) {
	server := pgtest.Own(b, "", "-c", "fsync=on", "-c", "full_page_writes=on")
	program, err := pgbench()
	if err != nil {
		b.Skip(err)
	}
	store, err := postgres.Open(b.Context(), server.URL()+"&pool_max_conns="+strconv.Itoa(writers), storage.Options{})
	if err != nil {
		b.Fatal(err)
	}
	defer store.Close()
	document, _ := designs.Read("lighthouse")
	n, each := rounds()
	makeBuoys(b, server.URL())
	least := pgbenchCommand(b, program, server.URL(), leastScript, document, each)
	same := pgbenchCommand(b, program, server.URL(), sameScript(b), document, each)
	for name, workspaces := range map[string]int{"one workspace": 1, "a workspace for each": writers} {
		b.Run(name, func(b *testing.B) {
			heads := makeHeads(b, store, workspaces, document)
			for b.Loop() {
				var ours, ofLeast, ofSame []float64
				for range n {
					most, equal := runPgbench(b, least), runPgbench(b, same)
					made := addVersions(b, heads, document, each)
					ours, ofLeast, ofSame = append(ours, made), append(ofLeast, 100*made/most), append(ofSame, 100*made/equal)
				}
				b.ReportMetric(median(ours), "versions/s")
				b.ReportMetric(median(ofLeast), "%-of-least")
				b.ReportMetric(median(ofSame), "%-of-same")
			}
		})
	}
}

func pgbench() (string, error) {
	if program, err := exec.LookPath("pgbench"); err == nil {
		return program, nil
	}
	found, err := filepath.Glob("/usr/lib/postgresql/*/bin/pgbench")
	if err != nil || len(found) == 0 {
		return "", fmt.Errorf("pgbench is not installed")
	}
	return found[len(found)-1], nil
}

// makeBuoys makes the designs that pgbench adds versions to.
func makeBuoys(b *testing.B, url string) {
	b.Helper()
	conn, err := pgx.Connect(b.Context(), url)
	if err != nil {
		b.Fatal(err)
	}
	defer conn.Close(b.Context())
	for client := range writers {
		_, err := conn.Exec(b.Context(), `INSERT INTO designs (id, title, title_folded, tags, version, created_at, updated_at, workspace)
			VALUES ('buoy-' || $1::int, 'Lighthouse', 'lighthouse', '{harbour,v_fold}', 0, $2, $2, 'pgbench')`, client, time.Now())
		if err != nil {
			b.Fatal(err)
		}
	}
}

// pgbenchCommand runs a script for one round.
func pgbenchCommand(b *testing.B, program, url, script string, document []byte, each time.Duration) []string {
	b.Helper()
	file := filepath.Join(b.TempDir(), "version.sql")
	if err := os.WriteFile(file, []byte(script), 0o600); err != nil {
		b.Fatal(err)
	}
	v, n := versionOf(document, 0), strconv.Itoa(writers)
	return []string{program, "-n", "-M", "prepared", "-c", n, "-j", "2", "-T", strconv.Itoa(int(each.Seconds())),
		"-D", "hash=" + v.Hash, "-D", "message=" + v.Message, "-D", "author=" + v.Author, "-D", fmt.Sprintf("document=\\x%x", v.Document),
		"-f", file, url}
}

var tps = regexp.MustCompile(`tps = ([0-9.]+)`)

func runPgbench(b *testing.B, command []string) float64 {
	b.Helper()
	said, err := exec.CommandContext(b.Context(), command[0], command[1:]...).CombinedOutput()
	m := tps.FindSubmatch(said)
	if err != nil || m == nil {
		b.Fatalf("%v\n%s", err, said)
	}
	rate, err := strconv.ParseFloat(string(m[1]), 64)
	if err != nil {
		b.Fatal(err)
	}
	return rate
}

// head is a design that one writer adds to.
type head struct {
	store  storage.Store
	id     string
	number int
}

func makeHeads(b *testing.B, db storage.Database, workspaces int, document []byte) []*head {
	b.Helper()
	heads := make([]*head, writers)
	for i := range heads {
		h := &head{store: db.In("quay-" + strconv.Itoa(i%workspaces)), number: 1}
		d, _, _, err := h.store.Create(b.Context(), versionOf(document, 0), storage.IdempotencyKey{})
		if err != nil {
			b.Fatal(err)
		}
		h.id, heads[i] = d.ID, h
	}
	return heads
}

// versionOf is a document that differs from the others in one number.
func versionOf(document []byte, n int) storage.NewVersion {
	document = bytes.Replace(document, []byte("{"), fmt.Appendf(nil, `{"notes":"%d",`, n), 1)
	return storage.NewVersion{Title: "Lighthouse", Tags: []string{"harbour", "v_fold"}, Document: document,
		Hash: fmt.Sprintf("sha256:%x", sha256.Sum256(document)), Message: "Raise the lamp", Author: "keeper"}
}

func addVersions(b *testing.B, heads []*head, document []byte, each time.Duration) float64 {
	b.Helper()
	ctx, cancel := context.WithTimeout(b.Context(), each)
	defer cancel()
	var made atomic.Int64
	var all sync.WaitGroup
	start := time.Now()
	for _, h := range heads {
		all.Go(func() {
			for ctx.Err() == nil {
				// Not ctx, which would leave open whether the last was made.
				if _, _, _, err := h.store.AddVersion(b.Context(), h.id, h.number, versionOf(document, h.number), storage.IdempotencyKey{}); err != nil {
					b.Error(err)
					return
				}
				h.number++
				made.Add(1)
			}
		})
	}
	all.Wait()
	return float64(made.Load()) / time.Since(start).Seconds()
}

func median(list []float64) float64 {
	list = slices.Sorted(slices.Values(list))
	return list[len(list)/2]
}
