package main

import (
	"bytes"
	"io/fs"
	"net/netip"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/alecthomas/kong"
)

// operatorsFiles are the texts of what is written for operators, by their paths
// in the repository.
func operatorsFiles(t *testing.T) map[string]string {
	t.Helper()
	root := filepath.Join("..", "..")
	texts := map[string]string{}
	look := func(path string, _ fs.DirEntry, err error) error {
		info, statErr := os.Stat(path)
		switch {
		case err != nil || statErr != nil:
			return err
		case info.IsDir() && info.Name() == "secrets":
			return fs.SkipDir // of whoever runs the service from here
		case info.IsDir() || strings.HasSuffix(path, ".go"):
			return nil
		}
		text, err := os.ReadFile(path)
		name, _ := filepath.Rel(root, path)
		texts[filepath.ToSlash(name)] = string(text)
		return err
	}
	for _, place := range []string{"deploy", "docker-compose.yml", "README.md"} {
		if err := filepath.WalkDir(filepath.Join(root, place), look); err != nil {
			t.Fatal(err)
		}
	}
	return texts
}

// What is written for operators names only settings that there are.
func TestFilesForOperatorsNameKnownSettings(t *testing.T) {
	var help bytes.Buffer
	for _, command := range []string{"serve", "make", "migrate", "backup", "restore", "export", "import", "health", "key create", "key list", "key revoke"} {
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
	for path, text := range operatorsFiles(t) {
		for _, name := range setting.FindAllString(text, -1) {
			named++
			if !known[name] {
				t.Errorf("%s names %s, which no command knows", path, name)
			}
		}
	}
	if named == 0 {
		t.Fatal("nothing was found to look at")
	}
}

// Whatever stops the service waits until it has ended by itself.
func TestStopsAreWaitedFor(t *testing.T) {
	files := operatorsFiles(t)
	setting := regexp.MustCompile(`(FOLDWRIGHT_(?:DRAIN_DELAY|SHUTDOWN_TIMEOUT)): (\S+)`)
	for _, tc := range []struct{ file, settings, addr, waits string }{
		{"docker-compose.yml", "docker-compose.yml", "0.0.0.0:8080", `build:[^§]*?stop_grace_period: (\d+)`},
		{"deploy/kubernetes/base/deployment.yaml", "deploy/kubernetes/base/settings.yaml", "0.0.0.0:8080", `terminationGracePeriodSeconds: (\d+)`},
		{"deploy/systemd/foldwright.service", "deploy/systemd/foldwright.service", "127.0.0.1:8080", `TimeoutStopSec=(\d+)s`},
	} {
		args := []string{"--addr", tc.addr}
		for _, m := range setting.FindAllStringSubmatch(files[tc.settings], -1) {
			flag := strings.ToLower(strings.ReplaceAll(strings.TrimPrefix(m[1], "FOLDWRIGHT_"), "_", "-"))
			args = append(args, "--"+flag, m[2])
		}
		c := settingsOf(t, args...)
		longest := c.drainFor() + lingering + c.finishWithin() + lastWords + lastTraces
		m := regexp.MustCompile(tc.waits).FindStringSubmatch(files[tc.file])
		if m == nil {
			t.Errorf("%s does not say how long to wait", tc.file)
			continue
		}
		if wait, err := time.ParseDuration(m[1] + "s"); err != nil || wait <= longest {
			t.Errorf("%s waits %v (%v), and an end may take %v", tc.file, wait, err, longest)
		}
	}
}

// settingsOf reads settings as serve does.
func settingsOf(t *testing.T, args ...string) *serveCommand {
	t.Helper()
	var c struct {
		Serve serveCommand `cmd:""`
	}
	parser, err := kong.New(&c)
	if err == nil {
		_, err = parser.Parse(append([]string{"serve"}, args...))
	}
	if err != nil {
		t.Fatal(err)
	}
	return &c.Serve
}

// Values written in the files can be read, and lead to where the service is.
func TestValuesForOperatorsAreGood(t *testing.T) {
	files := operatorsFiles(t)
	networks := regexp.MustCompile(`FOLDWRIGHT_TRUSTED_PROXIES[=:] *"?([0-9a-f.:/,]+)`)
	passwords := regexp.MustCompile(`postgres(?:ql)?://[^:/@\s]+:([^@\s]+)@`)
	for file, text := range files {
		for _, m := range networks.FindAllStringSubmatch(text, -1) {
			for network := range strings.SplitSeq(m[1], ",") {
				if _, err := netip.ParsePrefix(network); err != nil {
					t.Errorf("%s: %v", file, err)
				}
			}
		}
		// No password stands in an address; capitals and "password" stand for one.
		for _, m := range passwords.FindAllStringSubmatch(text, -1) {
			if m[1] != strings.ToUpper(m[1]) && m[1] != "password" {
				t.Errorf("%s has a password in it", file)
			}
		}
	}
	for file, wants := range map[string][]string{
		"deploy/Containerfile":                   {"FOLDWRIGHT_ADDR=0.0.0.0:8080", "EXPOSE 8080", `"health"`, "USER 65532:65532"},
		"deploy/kubernetes/base/settings.yaml":   {`FOLDWRIGHT_ADDR: "0.0.0.0:8080"`},
		"deploy/kubernetes/base/deployment.yaml": {"containerPort: 8080", "path: /healthz", "path: /readyz", "readOnlyRootFilesystem: true"},
		"docker-compose.yml":                     {`"127.0.0.1:8080:8080"`, `["CMD", "/foldwright", "health"]`, "read_only: true"},
		"deploy/prometheus/compose.yml":          {`"foldwright:8080"`, "/run/secrets/metrics_key"},
	} {
		for _, want := range wants {
			if !strings.Contains(files[file], want) {
				t.Errorf("%s does not say %s", file, want)
			}
		}
	}
}
