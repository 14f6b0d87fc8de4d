package deploy

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/moby/patternmatcher"
	"github.com/moby/patternmatcher/ignorefile"
)

// What the image is built from is there: nothing that the program is compiled
// from or has embedded is left out of the build.
func TestTheImageIsBuiltFromEverything(t *testing.T) {
	ignored, err := os.Open("../.dockerignore")
	if err != nil {
		t.Fatal(err)
	}
	defer ignored.Close()
	patterns, err := ignorefile.ReadAll(ignored)
	if err != nil {
		t.Fatal(err)
	}
	left, err := patternmatcher.New(patterns)
	if err != nil {
		t.Fatal(err)
	}
	root, err := filepath.Abs("..")
	if err != nil {
		t.Fatal(err)
	}
	const files = `{{if .Module}}{{if .Module.Main}}{{$dir := .Dir}}{{range .GoFiles}}{{$dir}}/{{.}}
{{end}}{{range .EmbedFiles}}{{$dir}}/{{.}}
{{end}}{{end}}{{end}}`
	out, err := exec.CommandContext(t.Context(), "go", "list", "-deps", "-f", files, "foldwright/cmd/foldwright").Output()
	if err != nil {
		t.Fatal(err)
	}
	needed := append(strings.Fields(string(out)), filepath.Join(root, "go.mod"), filepath.Join(root, "go.sum"))
	embedded := false
	for _, path := range needed {
		name, err := filepath.Rel(root, path)
		if err != nil {
			t.Fatal(err)
		}
		if out, err := left.MatchesOrParentMatches(name); err != nil || out {
			t.Errorf("%s is left out of the image (%v)", name, err)
		}
		embedded = embedded || name == "testdata/designs/harbour.json"
	}
	if !embedded {
		t.Error("the examples are not among what is needed")
	}
}
