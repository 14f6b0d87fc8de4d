package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// succeed runs a command and returns what it said.
func succeed(t *testing.T, args ...string) string {
	t.Helper()
	var out, errs output
	if code := run(t.Context(), args, &out, &errs); code != exitOK {
		t.Fatalf("%q: exit code %d: %s", args, code, errs.String())
	}
	return out.String()
}

// refused runs a command that must fail, and say why.
func refused(t *testing.T, why string, args ...string) {
	t.Helper()
	var out, errs output
	if code := run(t.Context(), args, &out, &errs); code != exitFailed || !strings.Contains(errs.String(), why) {
		t.Errorf("%q: exit code %d: %s; want %q", args, code, errs.String(), why)
	}
}

func TestBackupAndRestore(t *testing.T) {
	from, to := t.TempDir(), t.TempDir()
	secret := strings.TrimSpace(succeed(t, "key", "create", "--scope", "admin", "--data-dir", from))
	file := filepath.Join(t.TempDir(), "harbour.backup")
	if said := succeed(t, "backup", "--data-dir", from, file); !strings.Contains(said, "1 keys") {
		t.Errorf("said %s", said)
	}
	if info, err := os.Stat(file); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("others may read it: %v, %v", info, err)
	}
	refused(t, "is there already", "backup", "--data-dir", from, file)
	if said := succeed(t, "backup", "--verify", file); !strings.Contains(said, "whole") {
		t.Errorf("said %s", said)
	}
	succeed(t, "restore", "--data-dir", to, file)
	if listed := succeed(t, "key", "list", "--data-dir", to); !strings.Contains(listed, "admin") || strings.Contains(listed, secret) {
		t.Errorf("listed %s", listed)
	}
	refused(t, "not empty", "restore", "--data-dir", to, file)

	whole, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	damaged := filepath.Join(t.TempDir(), "damaged.backup")
	if err := os.WriteFile(damaged, whole[:len(whole)-30], 0o600); err != nil {
		t.Fatal(err)
	}
	refused(t, "damaged", "backup", "--verify", damaged)
	refused(t, "damaged", "restore", "--data-dir", t.TempDir(), damaged)
	left, err := os.ReadDir(filepath.Dir(file))
	if err != nil || len(left) != 1 {
		t.Errorf("left %v, %v", left, err)
	}
}
