package backup_test

import (
	"archive/zip"
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"foldwright/storage"
	"foldwright/storage/access"
	"foldwright/storage/backup"
	"foldwright/storage/postgres"
	"foldwright/storage/postgres/pgtest"
	"foldwright/storage/sqlite"
)

// restoreFrom and restoreTo name, to a copy of this test binary, what to
// restore until it is killed.
const (
	restoreFrom = "FOLDWRIGHT_TEST_RESTORE_FROM"
	restoreTo   = "FOLDWRIGHT_TEST_RESTORE_TO"
)

func TestMain(m *testing.M) {
	if path := os.Getenv(restoreFrom); path != "" {
		file, err := backup.Open(path)
		if err == nil {
			fmt.Println("begun")
			to := os.Getenv(restoreTo)
			if strings.HasPrefix(to, "postgres") {
				err = postgres.Restore(context.Background(), to, file)
			} else {
				err = sqlite.Restore(context.Background(), to, file)
			}
		}
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(pgtest.Run(m))
}

// place is a database that can be restored into and opened.
type place struct {
	name    string
	at      string
	open    func(storage.Options) (backup.Source, error)
	restore func(*backup.File) error
}

func inFile(t *testing.T) place {
	path := filepath.Join(t.TempDir(), "harbour.db")
	return place{"sqlite", path,
		func(o storage.Options) (backup.Source, error) { return sqlite.Open(t.Context(), path, o) },
		func(f *backup.File) error { return sqlite.Restore(t.Context(), path, f) }}
}

func onServer(t *testing.T) place {
	url := pgtest.URL(t)
	return place{"postgres", url,
		func(o storage.Options) (backup.Source, error) { return postgres.Open(t.Context(), url, o) },
		func(f *backup.File) error { return postgres.Restore(t.Context(), url, f) }}
}

func (p place) store(t *testing.T) backup.Source {
	t.Helper()
	s, err := p.open(storage.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

// Out of one kind of database into the other and back, everything stays equal
// to the byte.
func TestEverythingGoesFromOneKindToTheOther(t *testing.T) {
	for _, way := range [][]func(*testing.T) place{{inFile, onServer, inFile}, {onServer, inFile, onServer}} {
		first := way[0](t)
		s := first.store(t)
		fill(t, s)
		want, path := write(t, s)
		for _, table := range want.Tables {
			if table.Rows == 0 && (table.Name != "growth" || first.name == "postgres") { // SQLite makes none itself
				t.Errorf("nothing in the table %s tries its backup", table.Name)
			}
		}
		for _, next := range way[1:] {
			p := next(t)
			again := filepath.Join(t.TempDir(), "again.backup")
			t.Run("to "+p.name, func(t *testing.T) {
				if err := p.restore(opened(t, path)); err != nil {
					t.Fatal(err)
				}
				restored := p.store(t)
				got := writeTo(t, restored, again)
				if err := opened(t, path).SameAs(got); err != nil {
					t.Error(err)
				}
				inUse(t, restored)
			})
			path = again
		}
	}
}

// inUse works with what was restored.
func inUse(t *testing.T, s backup.Source) {
	t.Helper()
	ctx := t.Context()
	local := s.In(access.Local)
	page, err := local.List(ctx, storage.Query{Tags: []string{"harbour"}, Search: "LIGHT", Label: "as printed"})
	if err != nil || len(page.Designs) != 1 {
		t.Fatalf("found %+v, %v", page, err)
	}
	d := page.Designs[0]
	if v, err := local.Version(ctx, d.ID, 1); err != nil || string(v.Document) != "{\"lamp\":\x00\xff}" || v.Author != "keeper" {
		t.Errorf("version %+v, %v", v, err)
	}
	if v, err := local.Version(ctx, d.ID, 2); err != nil || len(v.Document) != 0 {
		t.Errorf("an empty document came back as %+v, %v", v, err)
	}
	if k, err := s.UseKey(ctx, "hash-1"); err != nil || k.Scope != access.Browser || len(k.Origins) != 1 {
		t.Errorf("key %+v, %v", k, err)
	}
	if share, err := s.Share(ctx, "hash-2"); err != nil || share.DesignID != d.ID {
		t.Errorf("share %+v, %v", share, err)
	}
	if gone, err := local.List(ctx, storage.Query{Deleted: true}); err != nil || len(gone.Designs) != 1 {
		t.Errorf("deleted %+v, %v", gone, err)
	}
	if c, err := s.ClaimJob(ctx, time.Minute); err != nil || string(c.Request) != "\x00{}" {
		t.Errorf("job %+v, %v", c, err)
	} else if err := s.ReleaseJob(ctx, c); err != nil {
		t.Error(err)
	}
	if u, err := local.Usage(ctx); err != nil || u != (storage.Usage{Designs: 1, Versions: 3, Bytes: 11 + 3}) {
		t.Errorf("usage %+v, %v", u, err)
	}
}

func fill(t *testing.T, s backup.Source) {
	t.Helper()
	ctx := t.Context()
	local := s.In(access.Local)
	_, err := local.AddHook(ctx, storage.NewHook{URL: "https://workshop.example/hooks", Events: storage.EventTypes, Secret: "whsec_Z3VsbA=="})
	must(t, err)
	d, _, _, err := local.Create(ctx, version("Île — lighthouse <&>\u2028", "{\"lamp\":\x00\xff}", "harbour", `v"_\fold`, ""),
		storage.IdempotencyKey{Key: "tide-1", Fingerprint: "f"})
	must(t, err)
	_, _, _, err = local.AddVersion(ctx, d.ID, 1, version("Lighthouse", "", "harbour"), storage.IdempotencyKey{})
	must(t, err)
	must(t, local.SetLabel(ctx, d.ID, 1, "as printed"))
	_, err = local.AddShare(ctx, d.ID, storage.NewShare{Version: 2, Hash: "hash-2", ExpiresAt: new(time.Now().Add(time.Hour))})
	must(t, err)
	_, err = local.AddShare(ctx, d.ID, storage.NewShare{Hash: "hash-3"})
	must(t, err)
	gone, _, _, err := local.Create(ctx, version("Gull", "{ }"), storage.IdempotencyKey{})
	must(t, err)
	must(t, local.Delete(ctx, gone.ID, 0))
	_, err = s.In("quay").AddKey(ctx, storage.NewKey{Scope: access.Browser, Origins: []string{"https://workshop.example"}, Hash: "hash-1"})
	must(t, err)
	_, _, err = local.AddJob(ctx, storage.NewJob{Operation: "fit", Media: "text/csv", Request: []byte("\x00{}")}, storage.IdempotencyKey{Key: "j", Fingerprint: "f"})
	must(t, err)
	c, err := s.ClaimJob(ctx, time.Minute)
	must(t, err)
	must(t, s.EndJob(ctx, c, storage.JobOutcome{State: storage.JobDone, Result: []byte{0, 255}}))
	_, _, err = local.AddJob(ctx, storage.NewJob{Operation: "vary", Request: []byte("\x00{}")}, storage.IdempotencyKey{})
	must(t, err)
}

func version(title, document string, tags ...string) storage.NewVersion {
	return storage.NewVersion{Title: title, Tags: tags, Document: []byte(document), Author: "keeper", Message: "Lines\nand \t tabs",
		Hash: fmt.Sprintf("sha256:%x", sha256.Sum256([]byte(document)))}
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func write(t *testing.T, s backup.Source) (*backup.Manifest, string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "harbour.backup")
	return writeTo(t, s, path), path
}

func writeTo(t *testing.T, s backup.Source, path string) *backup.Manifest {
	t.Helper()
	f, err := os.Create(path)
	must(t, err)
	m, err := s.Backup(t.Context(), f)
	must(t, errors.Join(err, f.Close()))
	return m
}

func opened(t *testing.T, path string) *backup.File {
	t.Helper()
	f, err := backup.Open(path)
	must(t, err)
	t.Cleanup(func() { f.Close() })
	return f
}

// A backup that is made while others write holds all that was acknowledged
// before, and every design with all its versions.
func TestBackupDuringWrites(t *testing.T) {
	for _, p := range []place{inFile(t), onServer(t)} {
		t.Run(p.name, func(t *testing.T) {
			s := p.store(t)
			var (
				mu           sync.Mutex
				acknowledged = []string{}
				stop         = make(chan struct{})
				writers      sync.WaitGroup
			)
			for range 4 {
				writers.Go(func() {
					for n := 0; ; n++ {
						select {
						case <-stop:
							return
						default:
						}
						d, _, _, err := s.In(access.Local).Create(t.Context(), version("Gull", fmt.Sprintf(`{"n":%d}`, n), "bird"), storage.IdempotencyKey{})
						if err != nil {
							t.Error(err)
							return
						}
						mu.Lock()
						acknowledged = append(acknowledged, d.ID)
						mu.Unlock()
					}
				})
			}
			for count := 0; count < 50; time.Sleep(time.Millisecond) {
				mu.Lock()
				count = len(acknowledged)
				mu.Unlock()
			}
			mu.Lock()
			before := append([]string{}, acknowledged...)
			mu.Unlock()
			_, path := write(t, s)
			close(stop)
			writers.Wait()

			aside := inFile(t)
			must(t, aside.restore(opened(t, path)))
			restored := aside.store(t).In(access.Local)
			for _, id := range before {
				if _, err := restored.Version(t.Context(), id, 1); err != nil {
					t.Errorf("%s was acknowledged before: %v", id, err)
				}
			}
			u, err := restored.Usage(t.Context())
			if err != nil || u.Designs != u.Versions || u.Designs < int64(len(before)) {
				t.Errorf("usage %+v, %v", u, err)
			}
			listed := 0
			for q := (storage.Query{Tags: []string{"bird"}, Limit: storage.MaxLimit}); ; {
				page, err := restored.List(t.Context(), q)
				must(t, err)
				listed += len(page.Designs)
				if q.Cursor = page.Next; q.Cursor == "" {
					break
				}
			}
			if int64(listed) != u.Designs {
				t.Errorf("%d designs listed, %d counted", listed, u.Designs)
			}
		})
	}
}

func TestOnlyAnEmptyDatabaseIsRestoredInto(t *testing.T) {
	for _, p := range []place{inFile(t), onServer(t)} {
		s := p.store(t)
		_, path := write(t, s)
		fill(t, s)
		before, _ := write(t, s)
		if err := p.restore(opened(t, path)); !errors.Is(err, backup.ErrNotEmpty) {
			t.Errorf("%s: %v", p.name, err)
		}
		_, full := write(t, s)
		if err := p.restore(opened(t, full)); !errors.Is(err, backup.ErrNotEmpty) {
			t.Errorf("%s, its own: %v", p.name, err)
		}
		if err := opened(t, full).SameAs(before); err != nil {
			t.Errorf("%s is changed: %v", p.name, err)
		}
	}
}

// Whichever byte is lost or changed, the file is told to be damaged, or what is
// read is what was written.
func TestDamageIsFound(t *testing.T) {
	s := inFile(t).store(t)
	fill(t, s)
	want, path := write(t, s)
	whole, err := os.ReadFile(path)
	must(t, err)
	damaged := filepath.Join(t.TempDir(), "damaged.backup")
	try := func(why string, data []byte) {
		must(t, os.WriteFile(damaged, data, 0o600))
		f, err := backup.Open(damaged)
		if err == nil {
			defer f.Close()
			if err := f.SameAs(want); err != nil {
				t.Errorf("%s: %v", why, err)
			}
			return
		}
		if !errors.Is(err, backup.ErrDamaged) && !errors.Is(err, backup.ErrNoBackup) {
			t.Errorf("%s: %v", why, err)
		}
	}
	for i := 0; i < len(whole); i += 3 {
		flipped := bytes.Clone(whole)
		flipped[i] ^= 0x11
		try(fmt.Sprint("byte ", i), flipped)
	}
	for n := 0; n < len(whole); n += 97 {
		try(fmt.Sprint("cut at ", n), whole[:n])
	}
	must(t, os.WriteFile(damaged, whole[:len(whole)/2], 0o600))
	if _, err := backup.Open(damaged); !errors.Is(err, backup.ErrDamaged) {
		t.Errorf("a cut file: %v", err)
	}
}

// What a forger puts together is not found whole either.
func TestEntriesMustBeThoseOfTheManifest(t *testing.T) {
	s := inFile(t).store(t)
	fill(t, s)
	_, path := write(t, s)
	for why, change := range map[string]func(name string, text string) (string, string){
		"a row less": func(name, text string) (string, string) {
			if name == "tables/versions.jsonl" {
				_, text, _ = strings.Cut(text, "\n")
			}
			return name, text
		},
		"a table less": func(name, text string) (string, string) {
			if name == "tables/labels.jsonl" {
				return "", ""
			}
			return name, text
		},
		"another table": func(name, text string) (string, string) {
			return name, strings.Replace(text, `"name": "labels"`, `"name": "labels; DROP TABLE designs"`, 1)
		},
		"an entry more": func(name, text string) (string, string) {
			return strings.Replace(name, "labels", "../labels", 1), text
		},
		"a newer form": func(name, text string) (string, string) {
			return name, strings.Replace(text, `"format_version": 1`, `"format_version": 2`, 1)
		},
	} {
		in, err := zip.OpenReader(path)
		must(t, err)
		var out bytes.Buffer
		w := zip.NewWriter(&out)
		for _, e := range in.File {
			r, err := e.Open()
			must(t, err)
			text, err := io.ReadAll(r)
			must(t, err)
			if name, text := change(e.Name, string(text)); name != "" {
				to, err := w.Create(name)
				must(t, err)
				_, err = to.Write([]byte(text))
				must(t, err)
			}
		}
		must(t, errors.Join(w.Close(), in.Close()))
		forged := filepath.Join(t.TempDir(), "forged.backup")
		must(t, os.WriteFile(forged, out.Bytes(), 0o600))
		if f, err := backup.Open(forged); !errors.Is(err, backup.ErrDamaged) && !errors.Is(err, backup.ErrNoBackup) {
			t.Errorf("%s: %v, %v", why, f, err)
		}
	}
}

func TestBackupOfANewerProgramIsRefused(t *testing.T) {
	for _, p := range []place{inFile(t), onServer(t)} {
		_, path := write(t, inFile(t).store(t))
		f := opened(t, path)
		f.Schema = 9999
		if err := p.restore(f); !errors.Is(err, storage.ErrSchema) {
			t.Errorf("%s: %v", p.name, err)
		}
	}
}

// Whoever restores is killed at some time; what is there then is empty or
// whole.
func TestAKilledRestoreLeavesNothingOrAll(t *testing.T) {
	source := inFile(t).store(t)
	for n := range 400 {
		_, _, _, err := source.In(access.Local).Create(t.Context(), version("Gull", strings.Repeat("x", 2000), fmt.Sprint("n", n)), storage.IdempotencyKey{})
		must(t, err)
	}
	want, path := write(t, source)
	for round, fresh := range []func(*testing.T) place{inFile, inFile, inFile, inFile, onServer, onServer, onServer} {
		p := fresh(t)
		child := exec.CommandContext(t.Context(), os.Args[0])
		child.Env = append(os.Environ(), restoreFrom+"="+path, restoreTo+"="+p.at)
		out, err := child.StdoutPipe()
		must(t, err)
		must(t, child.Start())
		_, err = out.Read(make([]byte, 1)) // it has begun
		must(t, err)
		time.Sleep(time.Duration(round%4) * 150 * time.Millisecond)
		must(t, child.Process.Kill())
		_ = child.Wait() // killed, or done before
		s := p.store(t)
		u, err := s.In(access.Local).Usage(t.Context())
		must(t, err)
		t.Logf("%s, round %d: %d designs", p.name, round, u.Designs)
		if u.Designs == 0 {
			must(t, s.Close())
			must(t, p.restore(opened(t, path))) // and nothing is in the way
			s = p.store(t)
		}
		got, _ := write(t, s)
		if err := opened(t, path).SameAs(got); err != nil || want.Rows("designs") != 400 {
			t.Errorf("%s, round %d: %v", p.name, round, err)
		}
	}
}
