// Package deploy holds what operators are given against what it is for.
package deploy

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"foldwright/testdata/outside"
)

// compose is the reference implementation of the Compose specification.
const compose = "github.com/compose-spec/compose-go/v2/cmd@v2.16.2"

func TestComposeFileIsUnderstood(t *testing.T) {
	folder := t.TempDir()
	install := exec.CommandContext(t.Context(), "go", "install", compose)
	install.Dir = folder // apart from the modules of the project
	install.Env = append(os.Environ(), "GOBIN="+folder)
	if out, err := install.CombinedOutput(); err != nil {
		outside.Missing(t, "%s: %v\n%s", compose, err, out)
	}
	program := filepath.Join(folder, "cmd")
	root, err := filepath.Abs("..")
	if err != nil {
		t.Fatal(err)
	}
	if out, err := exec.CommandContext(t.Context(), program, filepath.Join(root, "docker-compose.yml")).CombinedOutput(); err != nil {
		t.Errorf("%v\n%s", err, out)
	}

	// The check can fail: a misspelt field is refused.
	text, err := os.ReadFile(filepath.Join(root, "docker-compose.yml"))
	if err != nil {
		t.Fatal(err)
	}
	misspelt := filepath.Join(folder, "docker-compose.yml")
	if err := os.WriteFile(misspelt, bytes.ReplaceAll(text, []byte("read_only:"), []byte("readonly:")), 0o600); err != nil {
		t.Fatal(err)
	}
	if exec.CommandContext(t.Context(), program, misspelt).Run() == nil {
		t.Error("a misspelt field passes")
	}
}
