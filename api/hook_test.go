package api

import (
	"bytes"
	"io"
	"net/http"
	"net/http/httptest"
	"os/exec"
	"strings"
	"testing"

	"foldwright/storage"
	"foldwright/testdata/outside"

	webhook "github.com/standard-webhooks/standard-webhooks/libraries/go"
)

// pingedHook is a hook with a delivery.
func pingedHook(t *testing.T, db storage.Database, workspace string) (hook, delivery string) {
	t.Helper()
	store := db.In(workspace)
	list, err := store.Hooks(t.Context())
	if err == nil && len(list) == 0 {
		var h storage.Hook
		h, err = store.AddHook(t.Context(), storage.NewHook{URL: "https://workshop.example/", Events: storage.EventTypes, Secret: "whsec_"})
		list = append(list, h)
	}
	if err != nil {
		t.Fatal(err)
	}
	d, err := store.PingHook(t.Context(), list[0].ID)
	if err != nil {
		t.Fatal(err)
	}
	return list[0].ID, d.Event.ID
}

type arrived struct {
	header http.Header
	body   []byte
}

// listen is a receiver on this machine.
func listen(t *testing.T) (url string, got chan arrived) {
	got = make(chan arrived, 10)
	receiver := httptest.NewServer(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
		body, err := io.ReadAll(r.Body)
		if err != nil {
			t.Error(err)
		}
		got <- arrived{r.Header, body}
	}))
	t.Cleanup(receiver.Close)
	return receiver.URL, got
}

// Whoever is sent an event can check it, as the specification and as our own
// reference says, and follow its addresses.
func TestEventsLeadToWhatHappened(t *testing.T) {
	s := newServer(t)
	url, got := listen(t)
	w := post(t, s, "/v1/hooks", `{"url":"`+url+`/hooks?key=gull","events":["design.created","version.created","design.deleted","job.ended"]}`)
	var hook HookRecord
	decode(t, w, &hook)
	atWork(t, s)
	receiver, err := webhook.NewWebhook(*hook.Secret)
	if err != nil {
		t.Fatal(err)
	}
	next := func(want string) Event {
		t.Helper()
		a := <-got
		if err := receiver.Verify(a.body, a.header); err != nil {
			t.Errorf("%s: %v", a.body, err)
		}
		checkAsDocumented(t, *hook.Secret, a)
		var e Event
		decode(t, &httptest.ResponseRecorder{Body: bytes.NewBuffer(a.body)}, &e)
		if e.Type != want || e.Data.Workspace != "local" || e.Timestamp.IsZero() {
			t.Errorf("sent %s, want %s", a.body, want)
		}
		return e
	}
	const design = `{"title":"Jetty","spread":{"page_width":120,"page_height":160}}`
	made := post(t, s, "/v1/designs", design)
	e := next("design.created")
	if *e.Data.Version != 1 || *e.Data.VersionUrl != made.Header().Get("Content-Location") || *e.Data.DesignUrl != made.Header().Get("Location") {
		t.Errorf("created %+v", e.Data)
	}
	v := get(t, s, *e.Data.VersionUrl)
	if doc, err := readDocument(v.Body.Bytes(), ""); v.Code != http.StatusOK || err != nil || doc.Hash != *e.Data.DesignHash {
		t.Errorf("led to %d %s", v.Code, v.Body)
	}
	r := httptest.NewRequest(http.MethodPut, *e.Data.DesignUrl, strings.NewReader(strings.Replace(design, "Jetty", "Quay", 1)))
	r.Header.Set("Content-Type", MediaJSON)
	r.Header.Set("If-Match", made.Header().Get("ETag"))
	call(t, s, r)
	if e = next("version.created"); *e.Data.Version != 2 {
		t.Errorf("replaced %+v", e.Data)
	}
	call(t, s, httptest.NewRequest(http.MethodDelete, *e.Data.DesignUrl, nil))
	if e = next("design.deleted"); *e.Data.Version != 2 || e.Data.DesignHash != nil || e.Data.VersionUrl != nil {
		t.Errorf("deleted %+v", e.Data)
	}
	submitJob(t, s, `{"operation":"tolerance","request":{"example":"lighthouse","samples":1000,"examined":10}}`)
	if e = next("job.ended"); *e.Data.State != JobStateDone || *e.Data.Operation != JobOperationTolerance || e.Data.Design != nil {
		t.Errorf("ended %+v", e.Data)
	}
	if v := get(t, s, *e.Data.JobUrl); v.Code != http.StatusOK {
		t.Errorf("led to %d %s", v.Code, v.Body)
	}
	said := get(t, s, "/metrics").Body.String()
	for _, series := range []string{`foldwright_hook_attempts_total{outcome="delivered"}`, "foldwright_hook_pending", "foldwright_hook_overdue_seconds"} {
		if !strings.Contains(said, series) {
			t.Errorf("no %s in the metrics", series)
		}
	}
}

// checkAsDocumented runs the check that the contract shows.
func checkAsDocumented(t *testing.T, secret string, a arrived) {
	t.Helper()
	python := outside.Program(t, "python3")
	_, code, found := strings.Cut(newServer(t).operations.find(http.MethodPost, "/v1/hooks").route.Operation.Description, "in Python:\n\n")
	code, _, ended := strings.Cut(code, "\n\nThe address")
	if !found || !ended {
		t.Fatal("the contract shows no check")
	}
	code = strings.ReplaceAll("\n"+code, "\n    ", "\n") + `
import sys
secret, id, timestamp, signature = sys.argv[1:5]
headers, body = {"webhook-id": id, "webhook-timestamp": timestamp, "webhook-signature": signature}, sys.stdin.buffer.read()
print(genuine(secret, headers, body), genuine(secret, headers, body + b" "))
`
	check := exec.CommandContext(t.Context(), python, "-c", code, secret, a.header.Get("webhook-id"), a.header.Get("webhook-timestamp"), a.header.Get("webhook-signature"))
	check.Stdin = bytes.NewReader(a.body)
	if said, err := check.CombinedOutput(); err != nil || string(said) != "True False\n" {
		t.Errorf("the check says %s, %v", said, err)
	}
}

// What others can reach lets nobody reach inside.
func TestHooksOfAnExposedServiceLeadOutside(t *testing.T) {
	for _, tc := range []struct {
		config Config
		url    string
		status int
	}{
		{Config{}, "https://workshop.example/hooks", http.StatusCreated},
		{Config{}, "http://workshop.example/hooks", http.StatusUnprocessableEntity},
		{Config{}, "https://127.0.0.1:8443/", http.StatusUnprocessableEntity},
		{Config{}, "https://localhost:8443/", http.StatusUnprocessableEntity},
		{Config{}, "https://10.0.0.1/", http.StatusUnprocessableEntity},
		{Config{HookPrivate: true}, "http://10.0.0.1:8000/", http.StatusCreated},
		{Config{HookPrivate: true}, "http://169.254.169.254/", http.StatusUnprocessableEntity},
	} {
		h := newHarbour(t, tc.config)
		r := httptest.NewRequest(http.MethodPost, "/v1/hooks", strings.NewReader(`{"url":"`+tc.url+`","events":["job.ended"]}`))
		r.Header.Set("Content-Type", MediaJSON)
		r.Header.Set("Authorization", "Bearer "+h.keys["admin"])
		if w := call(t, h.Server, r); w.Code != tc.status {
			t.Errorf("%s: %d %s", tc.url, w.Code, w.Body)
		}
	}
}
