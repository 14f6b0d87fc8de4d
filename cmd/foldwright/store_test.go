package main

import (
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestPasswordComesFromItsFile(t *testing.T) {
	file := filepath.Join(t.TempDir(), "password")
	const password = "gull/quay@boat:7 %"
	if err := os.WriteFile(file, []byte(password+"\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for given, want := range map[string]string{
		"postgres://harbour@db:5432/designs?sslmode=disable": "harbour",
		"postgresql://db/designs":                            "",
	} {
		address, err := (&storeFlags{DatabaseURL: given, PasswordFile: file}).address()
		if err != nil {
			t.Fatal(err)
		}
		u, err := url.Parse(address)
		if err != nil {
			t.Fatal(err)
		}
		if got, _ := u.User.Password(); got != password || u.User.Username() != want {
			t.Errorf("%s: user %q, password %q", given, u.User.Username(), got)
		}
	}
	empty := filepath.Join(t.TempDir(), "empty")
	if err := os.WriteFile(empty, []byte("\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for why, flags := range map[string]storeFlags{
		"is empty":               {DatabaseURL: "postgres://harbour@db/designs", PasswordFile: empty},
		"take it out of the URL": {DatabaseURL: "postgres://harbour:secret@db/designs", PasswordFile: file},
		"or leave out the file":  {DatabaseURL: "postgres://db/designs?user=harbour&password=secret", PasswordFile: file},
	} {
		if _, err := flags.address(); err == nil || !strings.Contains(err.Error(), why) || strings.Contains(err.Error(), "secret") {
			t.Errorf("%v, want %q", err, why)
		}
	}
	for _, flags := range []storeFlags{
		{DatabaseURL: "mysql://harbour:" + "secret@db/designs", PasswordFile: file},
		{DatabaseURL: "postgres://harbour:sec%ret@db/designs", PasswordFile: file},
		{DatabaseURL: "postgres://harbour@db/designs", PasswordFile: file + ".absent"},
	} {
		if _, err := flags.address(); err == nil || strings.Contains(err.Error(), "secret") || strings.Contains(err.Error(), "sec%ret") {
			t.Errorf("%+v: %v", flags, err)
		}
	}
}

// Whoever gives a password means a database; one in a file beside it would look
// like a service that lost its designs.
func TestPasswordWithoutDatabase(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "password")
	if err := os.WriteFile(file, []byte("gull\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	data := filepath.Join(dir, "data")
	t.Setenv("FOLDWRIGHT_DATABASE_URL", "")
	t.Setenv("FOLDWRIGHT_DATABASE_PASSWORD_FILE", file)
	refused(t, "FOLDWRIGHT_DATABASE_URL", "migrate", "--data-dir", data)
	refused(t, "FOLDWRIGHT_DATABASE_URL", "key", "create", "--scope", "admin", "--data-dir", data)
	if _, err := os.Stat(data); err == nil {
		t.Error("a file was made all the same")
	}
}
