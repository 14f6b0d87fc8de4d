package main

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// What is written for operators names only settings that there are.
func TestFilesForOperatorsNameKnownSettings(t *testing.T) {
	var help bytes.Buffer
	for _, command := range []string{"serve", "make", "migrate", "backup", "restore", "export", "import", "key create", "key list", "key revoke"} {
		if code := run(t.Context(), append(strings.Fields(command), "--help"), &help, &help); code != 0 {
			t.Fatalf("%s --help: exit code %d", command, code)
		}
	}
	setting := regexp.MustCompile(`FOLDWRIGHT_[A-Z_]+[A-Z]`)
	known := map[string]bool{}
	for _, name := range setting.FindAllString(help.String(), -1) {
		known[name] = true
	}
	named := 0
	look := func(path string, _ fs.DirEntry, err error) error {
		if info, statErr := os.Stat(path); err != nil || statErr != nil || info.IsDir() || strings.HasSuffix(path, ".go") {
			return err
		}
		text, err := os.ReadFile(path)
		for _, name := range setting.FindAllString(string(text), -1) {
			named++
			if !known[name] {
				t.Errorf("%s names %s, which no command knows", path, name)
			}
		}
		return err
	}
	root := filepath.Join("..", "..")
	for _, place := range []string{"deploy", "docker-compose.yml", "README.md"} {
		if err := filepath.WalkDir(filepath.Join(root, place), look); err != nil {
			t.Fatal(err)
		}
	}
	if named == 0 {
		t.Fatal("nothing was found to look at")
	}
}
