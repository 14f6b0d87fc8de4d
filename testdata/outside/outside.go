// Package outside finds the programs that tests hold the project against.
package outside

import (
	"fmt"
	"os"
	"os/exec"
	"testing"
)

// Required reports whether no outside check may be skipped.
func Required() bool {
	return os.Getenv("FOLDWRIGHT_REQUIRE_ALL") == "1" || os.Getenv("CI") == "true"
}

// Missing skips a test for want of something from outside; where every check
// must run, that is a failure.
func Missing(t testing.TB, format string, args ...any) {
	t.Helper()
	why := fmt.Sprintf(format, args...)
	if Required() {
		t.Fatal("needed for this check: " + why)
	}
	t.Skip("not checked: " + why)
}

// Program finds a program by the first of its names that there is, or Missing.
func Program(t testing.TB, names ...string) string {
	t.Helper()
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	Missing(t, "%s is not installed", names[0])
	return ""
}
