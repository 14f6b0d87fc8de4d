// Package prometheus holds the alerts and the dashboard against the service.
package prometheus

import (
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"foldwright/api"
	"foldwright/storage"
	"foldwright/storage/access"
	"foldwright/storage/sqlite"
	"foldwright/testdata/outside"
)

// service is one that asks for keys and has answered something, with an admin's
// key to it.
func service(t *testing.T) (s *httptest.Server, key string) {
	t.Helper()
	store, err := sqlite.Open(t.Context(), filepath.Join(t.TempDir(), "designs.db"), storage.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	key = access.NewSecret(access.KeySecret)
	if _, err := store.In(access.Local).AddKey(t.Context(), storage.NewKey{Scope: access.Admin, Hash: access.Hash(key)}); err != nil {
		t.Fatal(err)
	}
	server, err := api.New(api.Config{Store: store, Release: "test", KeysRequired: true})
	if err != nil {
		t.Fatal(err)
	}
	s = httptest.NewServer(server.Handler())
	t.Cleanup(s.Close)
	read(t, s.URL+"/v1/examples/harbour/check", key)
	read(t, s.URL+"/v1/designs", key)
	return s, key
}

// metrics are those of a service as text.
func metrics(t *testing.T) string {
	s, key := service(t)
	return read(t, s.URL+"/metrics", key)
}

func read(t *testing.T, url, key string) string {
	t.Helper()
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, url, nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Authorization", "Bearer "+key)
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	if err != nil || answer.StatusCode != http.StatusOK {
		t.Fatalf("%s: %d %v %s", url, answer.StatusCode, err, body)
	}
	return string(body)
}

// elsewhere are the metrics that a service has only at times: while there are
// jobs, and while it traces.
var elsewhere = []string{"foldwright_jobs", "foldwright_trace_spans_total"}

func exported(said string) map[string]bool {
	names := map[string]bool{}
	for _, name := range elsewhere {
		names[name] = true
	}
	for _, m := range regexp.MustCompile(`(?m)^# TYPE (\S+) (\S+)$`).FindAllStringSubmatch(said, -1) {
		names[m[1]] = true
	}
	return names
}

// queries are all that the dashboard asks for.
func queries(t *testing.T) []string {
	t.Helper()
	raw, err := os.ReadFile("../grafana/foldwright.json")
	if err != nil {
		t.Fatal(err)
	}
	var dashboard struct {
		Panels []struct {
			ID      int
			Title   string
			Targets []struct{ Expr string }
		}
	}
	if err := json.Unmarshal(raw, &dashboard); err != nil {
		t.Fatal(err)
	}
	list := []string{}
	ids := map[int]bool{}
	for _, p := range dashboard.Panels {
		if ids[p.ID] {
			t.Errorf("two panels are %d", p.ID)
		}
		ids[p.ID] = true
		for _, target := range p.Targets {
			list = append(list, target.Expr)
		}
	}
	if len(list) == 0 {
		t.Fatal("the dashboard asks for nothing")
	}
	return list
}

func TestConfigurationsAreUnderstood(t *testing.T) {
	// The files of keys are not here.
	out, err := exec.CommandContext(t.Context(), outside.Program(t, "promtool"), "check", "config", "--syntax-only", "prometheus.yml", "compose.yml").CombinedOutput()
	if err != nil {
		t.Errorf("promtool: %v\n%s", err, out)
	}
}

// Alerts and dashboard ask for no metric that there is not, and the dashboard
// shows every metric of ours.
func TestMetricsAreThoseOfTheService(t *testing.T) {
	names := exported(metrics(t))
	alerts, err := os.ReadFile("alerts.yml")
	if err != nil {
		t.Fatal(err)
	}
	shown := strings.Join(queries(t), "\n")
	for _, used := range regexp.MustCompile(`\b(?:foldwright|go|process)_[a-z_]+\b`).FindAllString(string(alerts)+shown, -1) {
		base := used
		for _, suffix := range []string{"_bucket", "_count", "_sum"} {
			if trimmed, cut := strings.CutSuffix(used, suffix); cut && names[trimmed] {
				base = trimmed
			}
		}
		if !names[base] {
			t.Errorf("%s is asked for, and there is no such metric", used)
		}
	}
	for name := range names {
		if strings.HasPrefix(name, "foldwright_") && !strings.Contains(shown, name) {
			t.Errorf("%s is on no panel of the dashboard", name)
		}
	}
}

// The metrics keep to the conventions of Prometheus.
func TestMetricsKeepToTheConventions(t *testing.T) {
	check := exec.CommandContext(t.Context(), outside.Program(t, "promtool"), "check", "metrics")
	check.Stdin = strings.NewReader(metrics(t))
	if out, err := check.CombinedOutput(); err != nil || len(out) > 0 {
		t.Errorf("%v: %s", err, out)
	}
}

// Every alert fires when it should and is silent when it should.
func TestAlerts(t *testing.T) {
	if out, err := exec.CommandContext(t.Context(), outside.Program(t, "promtool"), "test", "rules", "alerts_test.yml").CombinedOutput(); err != nil {
		t.Errorf("%v: %s", err, out)
	}
	alerts, err := os.ReadFile("alerts.yml")
	if err != nil {
		t.Fatal(err)
	}
	tests, err := os.ReadFile("alerts_test.yml")
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range regexp.MustCompile(`alert: (\w+)`).FindAllStringSubmatch(string(alerts), -1) {
		for _, how := range []string{" fires\n", " does not fire\n"} {
			if !strings.Contains(string(tests), "name: "+m[1]+how) {
				t.Errorf("no test says when %s%s", m[1], how)
			}
		}
	}
}

// A Prometheus scrapes the service as configured, with a key file, and answers
// every query of the dashboard and of the alerts.
func TestPrometheusScrapes(t *testing.T) {
	path := outside.Program(t, "prometheus")
	s, key := service(t)
	dir := t.TempDir()
	config, err := os.ReadFile("prometheus.yml")
	if err != nil {
		t.Fatal(err)
	}
	alerts, err := os.ReadFile("alerts.yml")
	if err != nil {
		t.Fatal(err)
	}
	here := strings.NewReplacer("127.0.0.1:8080", strings.TrimPrefix(s.URL, "http://"), "interval: 15s", "interval: 1s").Replace(string(config))
	for name, data := range map[string]string{"prometheus.yml": here, "alerts.yml": string(alerts), "foldwright.key": key} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(data), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	address := listener.Addr().String()
	listener.Close()
	command := exec.CommandContext(t.Context(), path, "--config.file=prometheus.yml", "--storage.tsdb.path=data", "--web.listen-address="+address, "--log.level=error")
	command.Dir = dir
	if err := command.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = command.Process.Kill(); _ = command.Wait() })
	ask := func(query string) (out struct {
		Status, Error string
		Data          struct{ Result []json.RawMessage }
	}) {
		answer, err := http.Get("http://" + address + "/api/v1/query?query=" + url.QueryEscape(query))
		if err != nil {
			return out
		}
		defer answer.Body.Close()
		if answer.StatusCode == http.StatusServiceUnavailable {
			return out // it is starting
		}
		if err := json.NewDecoder(answer.Body).Decode(&out); err != nil {
			t.Error(err)
		}
		return out
	}
	for end := time.Now().Add(time.Minute); len(ask(`up{job="foldwright"} == 1`).Data.Result) == 0; time.Sleep(100 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("the service was not scraped")
		}
	}
	variables := strings.NewReplacer("$__rate_interval", "1m", "$instance", ".*")
	for _, query := range queries(t) {
		if got := ask(variables.Replace(query)); got.Status != "success" {
			t.Errorf("%s: %s", query, got.Error)
		}
	}
	rules, err := http.Get(fmt.Sprintf("http://%s/api/v1/rules", address))
	if err != nil {
		t.Fatal(err)
	}
	defer rules.Body.Close()
	var evaluated struct {
		Data struct {
			Groups []struct {
				Rules []struct{ Name, Health, LastError string }
			}
		}
	}
	if err := json.NewDecoder(rules.Body).Decode(&evaluated); err != nil || len(evaluated.Data.Groups) == 0 {
		t.Fatalf("%+v, %v", evaluated, err)
	}
	for _, r := range evaluated.Data.Groups[0].Rules {
		if r.Health == "err" {
			t.Errorf("%s: %s", r.Name, r.LastError)
		}
	}
}
