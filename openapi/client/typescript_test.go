package client_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"foldwright/storage/access"
	"foldwright/testdata/outside"
)

// The TypeScript client compiles, and does what its own test asks of it against
// a running service.
func TestTypeScriptClient(t *testing.T) {
	const dir = "typescript"
	outside.Program(t, "node")
	outside.Program(t, "npm")
	if _, err := os.Stat(filepath.Join(dir, "node_modules")); err != nil {
		outside.Missing(t, "npm ci was not run in %s", dir)
	}
	s := newService(t)
	for _, script := range []string{"build", "test"} {
		command := exec.CommandContext(t.Context(), "npm", "run", script)
		command.Dir = dir
		command.Env = append(os.Environ(), "FOLDWRIGHT_URL="+s.url,
			"FOLDWRIGHT_WRITE_KEY="+s.keys[access.Write], "FOLDWRIGHT_READ_KEY="+s.keys[access.Read])
		if output, err := command.CombinedOutput(); err != nil {
			t.Fatalf("npm run %s: %v\n%s", script, err, output)
		}
	}
}
