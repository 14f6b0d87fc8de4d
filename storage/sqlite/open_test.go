package sqlite

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"foldwright/storage"
	"foldwright/storage/access"
)

func openTemporary(t *testing.T) *Store {
	t.Helper()
	s, err := Open(t.Context(), filepath.Join(t.TempDir(), "quay", "harbour.db"), storage.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

func TestOnlyTheUserMayRead(t *testing.T) {
	s := openTemporary(t)
	for path, want := range map[string]os.FileMode{
		filepath.Dir(s.path): 0o700, s.path: 0o600, s.path + "-wal": 0o600, s.path + "-shm": 0o600,
	} {
		info, err := os.Stat(path)
		if err != nil {
			t.Error(err)
		} else if got := info.Mode().Perm(); got != want {
			t.Errorf("%s has mode %o, want %o", filepath.Base(path), got, want)
		}
	}
}

// The settings are parts of a URL that the driver would also pass over in
// silence.
func TestConnectionsAreSetUp(t *testing.T) {
	s := openTemporary(t)
	for pragma, want := range map[string]string{
		"journal_mode": "wal", "synchronous": "2", "foreign_keys": "1", "busy_timeout": busyMillis,
	} {
		var got string
		if err := s.writer.QueryRowContext(t.Context(), "PRAGMA "+pragma).Scan(&got); err != nil || got != want {
			t.Errorf("writer: %s is %q, %v, want %q", pragma, got, err, want)
		}
	}
	for pragma, want := range map[string]string{
		"journal_mode": "wal", "query_only": "1", "busy_timeout": busyMillis,
	} {
		var got string
		if err := s.readers.QueryRowContext(t.Context(), "PRAGMA "+pragma).Scan(&got); err != nil || got != want {
			t.Errorf("readers: %s is %q, %v, want %q", pragma, got, err, want)
		}
	}
}

func TestWhoIsThere(t *testing.T) {
	s := openTemporary(t)
	if s.Name() != "sqlite" || s.Location() != s.path || !filepath.IsAbs(s.Location()) {
		t.Errorf("%q at %q", s.Name(), s.Location())
	}
}

func TestStatsCountWhatIsInUse(t *testing.T) {
	s := openTemporary(t)
	reader, err := s.readers.Conn(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer reader.Close()
	tx, err := s.writer.BeginTx(t.Context(), nil)
	if err != nil {
		t.Fatal(err)
	}
	defer tx.Rollback()
	if got := s.Stats(); got.InUse != 2 || got.Max < 2 || got.Open < 2 || got.Idle != got.Open-2 {
		t.Errorf("%+v", got)
	}
}

// A read must not wait for a write that takes long.
func TestReadsPassAWrite(t *testing.T) {
	s := openTemporary(t)
	tx, err := s.writer.BeginTx(t.Context(), nil)
	if err != nil {
		t.Fatal(err)
	}
	defer tx.Rollback()
	ctx, cancel := context.WithTimeout(t.Context(), 5*time.Second)
	defer cancel()
	if _, err := s.In(access.Local).List(ctx, storage.Query{}); err != nil {
		t.Error(err)
	}
}

// Waiting for a writer in another process ends with the context, not only with
// the timeout.
func TestWaitingForAnotherProcessHeedsTheContext(t *testing.T) {
	s := openTemporary(t)
	other, err := Open(t.Context(), s.path, storage.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	tx, err := other.writer.BeginTx(t.Context(), nil)
	if err != nil {
		t.Fatal(err)
	}
	defer tx.Rollback()
	ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer cancel()
	start := time.Now()
	_, _, _, err = s.In(access.Local).Create(ctx, storage.NewVersion{Title: "Gull"}, storage.IdempotencyKey{})
	if !errors.Is(err, context.DeadlineExceeded) || time.Since(start) > 5*time.Second {
		t.Errorf("%v after %v", err, time.Since(start))
	}
}

func TestWhatCannotBeOpened(t *testing.T) {
	folder := t.TempDir()
	if _, err := Open(t.Context(), folder, storage.Options{}); !errors.Is(err, storage.ErrUnavailable) {
		t.Errorf("a folder: %v", err)
	}
	text := filepath.Join(folder, "notes.txt")
	if err := os.WriteFile(text, []byte("The gulls came back to the quay in March, as they do each year."), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(t.Context(), text, storage.Options{}); err == nil || errors.Is(err, storage.ErrUnavailable) {
		t.Errorf("a file of another kind: %v", err)
	}
	if got, err := os.ReadFile(text); err != nil || len(got) != 63 {
		t.Errorf("the file now has %d bytes, %v", len(got), err)
	}
}

// A page must cost what it holds, not what the database holds: it comes out of
// the index in its order, and a tag is looked up.
func TestListIsServedByIndexes(t *testing.T) {
	s := openTemporary(t)
	by := func(s storage.Sort) string { return inOrder(designsSQL, s, sortKeys) }
	for query, want := range map[string][]string{
		by(storage.NewestFirst):   {"USING INDEX designs_newest (workspace=? AND <expr>=? AND (created_at,id)<(?,?))"},
		by(storage.OldestFirst):   {"USING INDEX designs_newest (workspace=? AND <expr>=? AND (created_at,id)>(?,?))"},
		by(storage.UpdatedLately): {"USING INDEX designs_updated (workspace=? AND <expr>=? AND updated_at>? AND (updated_at,id)<(?,?))"},
		by(storage.UpdatedLong):   {"USING INDEX designs_updated (workspace=? AND <expr>=? AND (updated_at,id)>(?,?))"},
		by(storage.TitleUp):       {"USING INDEX designs_titled (workspace=? AND <expr>=? AND <expr>>?)"},
		by(storage.TitleDown):     {"USING INDEX designs_titled (workspace=? AND <expr>=? AND <expr><?)"},
		inOrder(designsTaggedSQL, "", sortKeysTagged): {
			"SEARCH t USING PRIMARY KEY (workspace=? AND tag=? AND (created_at,design_id)<(?,?))", "SEARCH d USING INDEX"},
	} {
		found, err := s.readers.QueryContext(t.Context(), "EXPLAIN QUERY PLAN "+query, false, 0, "", "[]", 50, access.Local, 0, "", "harbour", "[]")
		if err != nil {
			t.Fatal(err)
		}
		steps, err := collect(found, nil, func(row scanner) (step string, err error) {
			var id, parent, unused int
			return step, row.Scan(&id, &parent, &unused, &step)
		})
		if err != nil {
			t.Fatal(err)
		}
		plan := strings.Join(steps, "\n")
		for _, index := range want {
			if !strings.Contains(plan, index) {
				t.Errorf("no %q in\n%s", index, plan)
			}
		}
		if strings.Contains(plan, "TEMP B-TREE") {
			t.Errorf("sorts:\n%s", plan)
		}
	}
}
