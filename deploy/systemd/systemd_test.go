// Package systemd holds the units against systemd itself.
package systemd

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"foldwright/testdata/outside"
)

// analyze runs systemd-analyze, or skips the test; where every check must run,
// its absence is a failure.
func analyze(t *testing.T, args ...string) {
	t.Helper()
	program := outside.Program(t, "systemd-analyze")
	if out, err := exec.CommandContext(t.Context(), program, args...).CombinedOutput(); err != nil || strings.Contains(string(out), "Unknown") {
		t.Errorf("%s %s: %v\n%s", program, strings.Join(args, " "), err, out)
	}
}

func units(t *testing.T, pattern string) []string {
	t.Helper()
	found, err := filepath.Glob(pattern)
	if err != nil || len(found) == 0 {
		t.Fatal(pattern, err)
	}
	return found
}

// The program of the units need not be installed here: another that is stands
// in for it.
func TestUnitsAreUnderstood(t *testing.T) {
	folder := t.TempDir()
	args := []string{"verify"}
	for _, name := range append(units(t, "*.service"), units(t, "*.timer")...) {
		unit, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		copied := filepath.Join(folder, name)
		text := strings.ReplaceAll(string(unit), "ExecStart=/usr/local/bin/foldwright", "ExecStart=/bin/true")
		if err := os.WriteFile(copied, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		args = append(args, copied)
	}
	analyze(t, args...)
}

func TestServicesAreConfined(t *testing.T) {
	for _, name := range units(t, "*.service") {
		// Tenths of its scale from 0, safe, to 10; below 2 it calls a service OK,
		// and 1.5 is what can be had with a network and a folder of one's own.
		analyze(t, "security", "--offline=true", "--threshold=15", name)
	}
}
