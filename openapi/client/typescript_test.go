package client_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"foldwright/storage/access"
)

// The TypeScript client compiles, and does what its own test asks of it against
// a running service.
func TestTypeScriptClient(t *testing.T) {
	const dir = "typescript"
	missing := func(why string) {
		if os.Getenv("FOLDWRIGHT_REQUIRE_ALL") == "1" || os.Getenv("CI") == "true" {
			t.Fatal(why)
		}
		t.Skip(why + ": the TypeScript client is not tried")
	}
	for _, program := range []string{"node", "npm"} {
		if _, err := exec.LookPath(program); err != nil {
			missing(program + " is not installed")
		}
	}
	if _, err := os.Stat(filepath.Join(dir, "node_modules")); err != nil {
		missing("npm ci was not run in " + dir)
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
