package view

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"foldwright/testdata/designs"
)

// exampleWidth keeps the goldens of the examples small enough to look through.
const exampleWidth = 240

// Every example has its picture, three quarters open from the default viewpoint,
// and there is no picture without its example.
func TestGoldenExamples(t *testing.T) {
	dir := filepath.Join("testdata", "examples")
	names := designs.Names()
	if *update {
		if err := os.MkdirAll(dir, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	for _, name := range names {
		t.Run(name, func(t *testing.T) {
			document, ok := designs.Read(name)
			if !ok {
				t.Fatal("no such example")
			}
			a := compile(t, string(document))
			got := render(t, a, 0.75*a.Design.Spread.OpensTo.Degrees(), Options{Width: exampleWidth})
			path := filepath.Join(dir, name+".svg")
			if *update {
				if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if got != string(want) {
				t.Errorf("%s differs; look at the new picture and run with -update if it is right", path)
			}
		})
	}
	files, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		name, svg := strings.CutSuffix(f.Name(), ".svg")
		if svg && slices.Contains(names, name) {
			continue
		}
		path := filepath.Join(dir, f.Name())
		if *update {
			err = os.Remove(path)
		}
		if !*update || err != nil {
			t.Errorf("%s is the picture of no example", path)
		}
	}
}
