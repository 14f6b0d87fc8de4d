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

const (
	writers     = 16
	writeRounds = 5
	writeRound  = 3 * time.Second
)

// pgbenchScript is the least a durable version takes: the head of a design goes
// on, and a row is added, in one transaction. Each client has its own design.
// What is stored goes to the server each time, as parameters (-D).
const pgbenchScript = `BEGIN;
UPDATE designs SET version = version + 1, updated_at = now() WHERE id = 'buoy-' || :client_id::int RETURNING version \gset
INSERT INTO versions (design_id, number, hash, created_at, message, author, document)
VALUES ('buoy-' || :client_id::int, :version::bigint, :hash, now(), :message, :author, :document);
COMMIT;
`

// BenchmarkVersionsAgainstPgbench is the rate at which 16 writers add versions,
// durably, against that of pgbench on the same server. The two take turns, so
// that what else the machine does meets both; the figures are medians.
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
	bench := preparePgbench(b, program, server.URL(), document)
	for name, workspaces := range map[string]int{"one workspace": 1, "a workspace for each": writers} {
		b.Run(name, func(b *testing.B) {
			heads := makeHeads(b, store, workspaces, document)
			for b.Loop() {
				var theirs, ours, ratios []float64
				for range writeRounds {
					theirs = append(theirs, runPgbench(b, bench))
					ours = append(ours, addVersions(b, heads, document))
					ratios = append(ratios, ours[len(ours)-1]/theirs[len(theirs)-1])
				}
				b.ReportMetric(median(theirs), "pgbench/s")
				b.ReportMetric(median(ours), "versions/s")
				b.ReportMetric(100*median(ratios), "%")
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

// preparePgbench is the command that runs the script for one round.
func preparePgbench(b *testing.B, program, url string, document []byte) []string {
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
	script := filepath.Join(b.TempDir(), "version.sql")
	if err := os.WriteFile(script, []byte(pgbenchScript), 0o600); err != nil {
		b.Fatal(err)
	}
	v, n := versionOf(document, 0), strconv.Itoa(writers)
	return []string{program, "-n", "-M", "prepared", "-c", n, "-j", "2", "-T", strconv.Itoa(int(writeRound.Seconds())),
		"-D", "hash=" + v.Hash, "-D", "message=" + v.Message, "-D", "author=" + v.Author, "-D", fmt.Sprintf("document=\\x%x", v.Document),
		"-f", script, url}
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

func addVersions(b *testing.B, heads []*head, document []byte) float64 {
	b.Helper()
	ctx, cancel := context.WithTimeout(b.Context(), writeRound)
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
