package sqlite

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"foldwright/storage"
	"foldwright/storage/access"
	"foldwright/storage/storetest"
)

// writerPath names, to a copy of this test binary, the file to write to until
// it is killed.
const writerPath = "FOLDWRIGHT_TEST_WRITER_PATH"

func TestMain(m *testing.M) {
	storetest.MigrateIfAsked(Migrate)
	if path := os.Getenv(writerPath); path != "" {
		writeUntilKilled(path)
	}
	os.Exit(m.Run())
}

func writeUntilKilled(path string) {
	s, err := Open(context.Background(), path, storage.Options{})
	for n := 0; err == nil; n++ {
		var d storage.Design
		d, _, _, err = s.In(access.Local).Create(context.Background(), storage.NewVersion{Title: fmt.Sprint("Gull ", n)}, storage.IdempotencyKey{})
		if err == nil {
			fmt.Println(d.ID)
		}
	}
	fmt.Fprintln(os.Stderr, err)
	os.Exit(1)
}

// What a writer was told is kept must be there after it was killed in the
// middle of the next write.
func TestWhatWasAcknowledgedOutlivesAKill(t *testing.T) {
	path := filepath.Join(t.TempDir(), "harbour.db")
	writer := exec.CommandContext(t.Context(), os.Args[0])
	writer.Env = append(os.Environ(), writerPath+"="+path)
	writer.Stderr = os.Stderr
	out, err := writer.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := writer.Start(); err != nil {
		t.Fatal(err)
	}
	var acknowledged []string
	for lines := bufio.NewScanner(out); lines.Scan(); {
		acknowledged = append(acknowledged, lines.Text())
		if len(acknowledged) == 200 {
			if err := writer.Process.Kill(); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := writer.Wait(); err == nil || len(acknowledged) < 200 {
		t.Fatalf("the writer ended by itself after %d designs: %v", len(acknowledged), err)
	}
	s, err := Open(t.Context(), path, storage.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	for _, id := range acknowledged {
		if _, err := s.In(access.Local).Version(t.Context(), id, 1); err != nil {
			t.Errorf("%s: %v", id, err)
		}
	}
	whole(t, s)
}
