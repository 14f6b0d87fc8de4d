package main

import (
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"foldwright/storage/access"
)

// makeKey runs key create and gives the secret and the id.
func makeKey(t *testing.T, args ...string) (secret, id string) {
	t.Helper()
	code, out, errs := runOnce(t, append([]string{"key", "create"}, args...)...)
	m := regexp.MustCompile(`has the id (\S+)\.`).FindStringSubmatch(errs)
	if code != exitOK || m == nil {
		t.Fatalf("exit code %d: %s%s", code, out, errs)
	}
	return strings.TrimSpace(out), m[1]
}

func TestKeys(t *testing.T) {
	dir := t.TempDir()
	first, id := makeKey(t, "--data-dir", dir, "--scope", "admin", "--name", "Keeper")
	second, _ := makeKey(t, "--data-dir", dir, "--workspace", "quay", "--scope", "browser", "--origin", "https://workshop.example", "--valid-days", "90")
	if !access.KeySecret.IsSecret(first) || !access.BrowserSecret.IsSecret(second) {
		t.Errorf("made %q and %q", first, second)
	}
	list := func(args ...string) []string {
		t.Helper()
		code, out, errs := runOnce(t, append([]string{"key", "list", "--data-dir", dir}, args...)...)
		if code != exitOK || strings.Contains(out+errs, first) || strings.Contains(out+errs, second) {
			t.Errorf("exit code %d: %s%s", code, out, errs)
		}
		return strings.Split(strings.TrimSpace(out), "\n")[1:]
	}
	if lines := list(); len(lines) != 2 || !strings.Contains(lines[0], id) || !strings.Contains(lines[0], "good") ||
		!strings.Contains(lines[1], "https://workshop.example") || !strings.Contains(lines[1], "until 2") {
		t.Errorf("listed %q", lines)
	}
	if lines := list("--workspace", "quay"); len(lines) != 1 || !strings.Contains(lines[0], "browser") {
		t.Errorf("listed %q", lines)
	}
	for range 2 {
		if code, out, errs := runOnce(t, "key", "revoke", "--data-dir", dir, id); code != exitOK || !strings.Contains(out, "revoked") {
			t.Errorf("revoke: exit code %d: %s%s", code, out, errs)
		}
	}
	if lines := list("--workspace", "local"); len(lines) != 1 || !strings.Contains(lines[0], "revoked 2") {
		t.Errorf("listed %q", lines)
	}
	for _, row := range []struct {
		args []string
		says string
	}{
		{[]string{"key", "create"}, "--scope"},
		{[]string{"key", "create", "--scope", "owner"}, "must be one of"},
		{[]string{"key", "create", "--scope", "read", "--workspace", "Quay"}, "lower-case"},
		{[]string{"key", "create", "--scope", "browser"}, "origins"},
		{[]string{"key", "create", "--scope", "browser", "--origin", "workshop.example"}, "https://workshop.example"},
		{[]string{"key", "create", "--scope", "read", "--valid-days", "-1"}, "valid-days"},
		{[]string{"key", "revoke", "gull"}, "no key with the id gull"},
		{[]string{"key", "list", "--workspace", "Quay"}, "lower-case"},
	} {
		if code, out, errs := runOnce(t, append(row.args, "--data-dir", dir)...); code != exitFailed || !strings.Contains(errs, row.says) {
			t.Errorf("%v: exit code %d, says %s%s", row.args, code, out, errs)
		}
	}
	if lines := list(); len(lines) != 2 {
		t.Errorf("listed %q", lines)
	}
}

func TestIsLoopback(t *testing.T) {
	for addr, want := range map[string]bool{
		"127.0.0.1:8080": true, "127.8.0.1:0": true, "[::1]:8080": true, "localhost:8080": true, "[::ffff:127.0.0.1]:80": true,
		"0.0.0.0:8080": false, ":8080": false, "[::]:8080": false, "192.0.2.1:8080": false, "harbour:8080": false, "[2001:db8::1]:80": false,
	} {
		if got := isLoopback(addr); got != want {
			t.Errorf("%s: %v", addr, got)
		}
	}
}

// Where others can reach it, the service starts only with a key, and then asks
// for one; the command it names makes that.
func TestExposedServiceNeedsAKey(t *testing.T) {
	dir := t.TempDir()
	for _, args := range [][]string{{"--addr", "0.0.0.0:0"}, {"--require-keys", "--addr", "127.0.0.1:0"}} {
		code, out, errs := runOnce(t, append([]string{"serve", "--data-dir", dir}, args...)...)
		if code != exitFailed || !strings.Contains(errs, "foldwright key create --scope admin") {
			t.Fatalf("%v: exit code %d: %s%s", args, code, out, errs)
		}
	}
	// A browser key is no key to run a service with.
	makeKey(t, "--data-dir", dir, "--scope", "browser", "--origin", "https://workshop.example")
	if code, _, _ := runOnce(t, "serve", "--data-dir", dir, "--addr", "0.0.0.0:0"); code != exitFailed {
		t.Errorf("with a browser key alone: exit code %d", code)
	}
	secret, id := makeKey(t, "--data-dir", dir, "--scope", "admin")
	s := startServing(t, "--data-dir", dir, "--addr", "0.0.0.0:0")
	if !strings.Contains(s.out.String(), "$FOLDWRIGHT_KEY") {
		t.Errorf("the lines to try do not send a key: %s", s.out)
	}
	ask := func(key string) int {
		t.Helper()
		r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, s.url+"/v1/designs", nil)
		if err != nil {
			t.Fatal(err)
		}
		if key != "" {
			r.Header.Set("Authorization", "Bearer "+key)
		}
		answer, err := http.DefaultClient.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
		return answer.StatusCode
	}
	if code := ask(""); code != http.StatusUnauthorized {
		t.Errorf("without a key: %d", code)
	}
	if code := ask(secret); code != http.StatusOK {
		t.Errorf("with the key: %d", code)
	}
	// What the command line revokes, the running service refuses at once.
	if code, _, errs := runOnce(t, "key", "revoke", "--data-dir", dir, id); code != exitOK {
		t.Fatal(errs)
	}
	if code := ask(secret); code != http.StatusUnauthorized {
		t.Errorf("with a revoked key: %d", code)
	}
	if strings.Contains(s.err.String()+s.out.String(), secret) {
		t.Error("the key is in the log")
	}
}

func TestSettingsAreChecked(t *testing.T) {
	for _, args := range [][]string{
		{"--queue-wait", "0s"}, {"--queue-length", "0"}, {"--request-timeout", "0s"}, {"--key-rate", "-1"}, {"--max-bytes", "-1"},
		{"--drain-delay=-1s"}, {"--shutdown-timeout=-1s"},
		{"--trusted-proxies", "gull"}, {"--origins", "workshop.example"},
	} {
		if code, _, errs := runOnce(t, append([]string{"serve", "--data-dir", t.TempDir()}, args...)...); code != exitFailed || errs == "" {
			t.Errorf("%v: exit code %d: %s", args, code, errs)
		}
	}
	if _, _, errs := runOnce(t, "serve", "--data-dir", t.TempDir(), "--job-timeout", "10ms"); !strings.Contains(errs, "FOLDWRIGHT_JOB_TIMEOUT is 10ms; it must be at least 1s") {
		t.Error(errs)
	}
}

// What is to be read or taken away is not looked for in a new, empty file.
func TestNothingKeptIsSaid(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "quey")
	for _, args := range [][]string{{"backup", filepath.Join(t.TempDir(), "b")}, {"export", filepath.Join(t.TempDir(), "a.zip")}, {"key", "list"}, {"key", "revoke", "gull"}} {
		code, _, errs := runOnce(t, append(args, "--data-dir", dir)...)
		if _, err := os.Stat(dir); code != exitFailed || !strings.Contains(errs, dir) || err == nil {
			t.Errorf("%v: exit code %d: %s; folder: %v", args, code, errs, err)
		}
	}
}

func TestQuotaIsSet(t *testing.T) {
	s := startServing(t, "--data-dir", t.TempDir(), "--max-designs", "1", "--trusted-proxies", "10.0.0.0/8,2001:db8::/32", "--origins", "https://a.example,https://b.example")
	for _, want := range []int{http.StatusCreated, http.StatusForbidden} {
		r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, s.url+"/v1/designs", strings.NewReader(`{"spread":{"page_width":130,"page_height":180}}`))
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Content-Type", "application/json")
		answer, err := http.DefaultClient.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
		if answer.StatusCode != want {
			t.Errorf("%d, want %d", answer.StatusCode, want)
		}
	}
}
