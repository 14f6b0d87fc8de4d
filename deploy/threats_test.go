package deploy

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// What the page of threats says is held by a test is.
func TestThreatsAreHeldByTests(t *testing.T) {
	page, err := os.ReadFile("threats.md")
	if err != nil {
		t.Fatal(err)
	}
	named := regexp.MustCompile(`\bTest\w+`).FindAllString(string(page), -1)
	if len(named) == 0 {
		t.Fatal("the page names no tests")
	}
	var all strings.Builder
	err = filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		if err == nil && d.IsDir() && d.Name() == "node_modules" {
			return filepath.SkipDir
		}
		if err != nil || !strings.HasSuffix(path, "_test.go") {
			return err
		}
		text, err := os.ReadFile(path)
		all.Write(text)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range named {
		if !strings.Contains(all.String(), "func "+name+"(") {
			t.Errorf("there is no %s", name)
		}
	}
}
