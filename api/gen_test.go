package api

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// What is committed is what the contract generates.
func TestGeneratedCodeIsFresh(t *testing.T) {
	committed, err := os.ReadFile("gen.go")
	if err != nil {
		t.Fatal(err)
	}
	config, err := os.ReadFile("gen.yaml")
	if err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(t.TempDir(), "gen.go")
	elsewhere := filepath.Join(t.TempDir(), "gen.yaml")
	changed := strings.Replace(string(config), "output: gen.go", "output: "+out, 1)
	if changed == string(config) {
		t.Fatal("gen.yaml names no output")
	}
	if err := os.WriteFile(elsewhere, []byte(changed), 0o600); err != nil {
		t.Fatal(err)
	}
	command := exec.CommandContext(t.Context(), "go", "tool", "oapi-codegen", "--config", elsewhere, "../openapi/openapi.yaml")
	if output, err := command.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, output)
	}
	generated, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(generated, committed) {
		t.Error("gen.go is not what openapi.yaml generates; run go generate ./api")
	}
}
