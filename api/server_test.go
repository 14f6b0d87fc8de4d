package api

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"foldwright/solver/design"
	"foldwright/storage"
	"foldwright/testdata/designs"

	"github.com/labstack/echo/v4"
)

// brokenStore fails in a chosen way, in every workspace.
type brokenStore struct {
	storage.Database
	storage.Store
	err   error
	panic any
}

func (b brokenStore) In(string) storage.Store { return b }

func (b brokenStore) Get(context.Context, string) (storage.Design, error) {
	if b.panic != nil {
		panic(b.panic)
	}
	return storage.Design{}, b.err
}

func (b brokenStore) Ping(context.Context) error { return b.err }

func serverOn(t *testing.T, store storage.Database, log *bytes.Buffer) *Server {
	t.Helper()
	return serverWith(t, Config{Store: store, Log: slog.New(slog.NewJSONHandler(log, nil))})
}

func serve(s *Server, method, path string) *httptest.ResponseRecorder {
	w := httptest.NewRecorder()
	s.Handler().ServeHTTP(w, httptest.NewRequest(method, path, nil))
	return w
}

// Neither an unknown error nor a panic tells the client anything but the
// request id, by which the log has the rest.
func TestCauseGoesToTheLogOnly(t *testing.T) {
	for name, store := range map[string]brokenStore{
		"error": {err: errors.New("disk of the harbour master")},
		"panic": {panic: "disk of the harbour master"},
	} {
		t.Run(name, func(t *testing.T) {
			var log bytes.Buffer
			w := serve(serverOn(t, store, &log), http.MethodGet, "/v1/designs/x")
			var p Problem
			decode(t, w, &p)
			if w.Code != http.StatusInternalServerError || p.Type != internal.address() || strings.Contains(w.Body.String(), "harbour") {
				t.Errorf("%d %s", w.Code, w.Body)
			}
			if !strings.Contains(log.String(), "harbour master") || !strings.Contains(log.String(), p.Instance) {
				t.Errorf("the log says %s", log.String())
			}
		})
	}
}

func TestUnavailableStore(t *testing.T) {
	var log bytes.Buffer
	s := serverOn(t, brokenStore{err: storage.ErrUnavailable}, &log)
	for _, path := range []string{"/v1/designs/x", "/readyz"} {
		w := serve(s, http.MethodGet, path)
		if w.Code != http.StatusServiceUnavailable || w.Header().Get("Retry-After") == "" {
			t.Errorf("%s: %d %v", path, w.Code, w.Header())
		}
	}
	// Alive is not ready: a restart would not help.
	if w := serve(s, http.MethodGet, "/healthz"); w.Code != http.StatusOK {
		t.Errorf("healthz: %d", w.Code)
	}
}

func TestDrainingIsNotReadyAndStillAnswers(t *testing.T) {
	s := newServer(t)
	s.Drain()
	if w := get(t, s, "/readyz"); w.Code != http.StatusServiceUnavailable {
		t.Errorf("readyz: %d", w.Code)
	}
	if w := get(t, s, "/v1/examples/harbour/check"); w.Code != http.StatusOK {
		t.Errorf("check: %d", w.Code)
	}
}

func TestRequestsAreLogged(t *testing.T) {
	var log bytes.Buffer
	s := serverOn(t, newStore(t), &log)
	serve(s, http.MethodGet, "/v1/examples/harbour?berth=3")
	var line struct {
		Msg       string `json:"msg"`
		RequestID string `json:"request_id"`
		Method    string `json:"method"`
		Route     string `json:"route"`
		Path      string `json:"path"`
		Status    int    `json:"status"`
		Error     string `json:"error"`
	}
	if err := json.Unmarshal(log.Bytes(), &line); err != nil {
		t.Fatalf("%v in %s", err, log.String())
	}
	if line.Method != http.MethodGet || line.Route != "/v1/examples/{name}" || line.Status != http.StatusBadRequest ||
		!requestIDRule.MatchString(line.RequestID) || !strings.Contains(line.Error, "berth") {
		t.Errorf("%+v", line)
	}
}

func TestRequestIDs(t *testing.T) {
	for _, row := range []struct {
		sent string
		kept bool
	}{
		{"quay-7.A_b", true},
		{strings.Repeat("q", 64), true},
		{strings.Repeat("q", 65), false},
		{"", false},
		{"two words", false},
		{"new\nline", false},
		{`"quoted"`, false},
	} {
		if got := requestID(row.sent); (got == row.sent) != row.kept || !requestIDRule.MatchString(got) {
			t.Errorf("%q becomes %q", row.sent, got)
		}
	}
}

// A client that leaves, or time that is up, ends a sweep.
func TestSolvingStopsWithItsContext(t *testing.T) {
	raw, _ := designs.Read("harbour")
	p := &Pipeline{}
	doc, err := p.Read(t.Context(), raw)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := p.Solve(ctx, doc, SolveOptions{}); !errors.Is(err, context.Canceled) {
		t.Errorf("solve: %v", err)
	}
	if _, err := p.Check(ctx, doc, CheckOptions{}); !errors.Is(err, context.Canceled) {
		t.Errorf("check: %v", err)
	}
	if _, err := p.Pattern(ctx, doc, PatternOptions{}, MediaJSON); !errors.Is(err, context.Canceled) {
		t.Errorf("pattern: %v", err)
	}
	s := serverWith(t, Config{Store: newStore(t), RequestTimeout: time.Nanosecond})
	w := post(t, s, "/v1/solve", `{"design":`+string(raw)+`}`)
	var problem Problem
	decode(t, w, &problem)
	if w.Code != http.StatusServiceUnavailable || problem.Type != tookTooLong.address() {
		t.Errorf("%d %s", w.Code, w.Body)
	}
}

// An answer that would not fit in memory is refused before it is begun, with
// what does fit.
func TestAnswerTooLong(t *testing.T) {
	s := newServer(t)
	// Fans of long arcs, each flattened into hundreds of points.
	fan := "M0 0" + strings.Repeat("A900 900 0 0 1 1000 0A900 900 0 0 1 0 0", 20) + "Z"
	figures := make([]string, 6)
	for i := range figures {
		figures[i] = fmt.Sprintf(`{"id":"fan%d","kind":"figure","on":{"panel":"page.left"},"outline":"%s"}`, i, fan)
	}
	body := `{"design":{"spread":{"page_width":130,"page_height":180},"mechanisms":[` + strings.Join(figures, ",") + `]},"findings":false,`
	for options, pointer := range map[string]string{
		`"sweep":{"steps":721}}`:                             "/sweep/steps",
		`"openings":[` + strings.Repeat("90,", 720) + `90]}`: "/openings",
	} {
		w := post(t, s, "/v1/solve", body+options)
		var p Problem
		decode(t, w, &p)
		if w.Code != http.StatusUnprocessableEntity || p.Errors == nil || (*p.Errors)[0].Pointer != pointer || (*p.Errors)[0].Code != TooMany {
			t.Errorf("%d %s", w.Code, w.Body)
		}
	}
	if w := post(t, s, "/v1/solve", body+`"openings":[90]}`); w.Code != http.StatusOK {
		t.Errorf("one opening: %d %s", w.Code, w.Body)
	}
}

// Of several changes at once based on one version exactly one is made.
func TestConcurrentChanges(t *testing.T) {
	s := newServer(t)
	raw, _ := designs.Read("quay")
	first := post(t, s, "/v1/designs", string(raw))
	location, tag := first.Header().Get("Location"), first.Header().Get("ETag")
	const clients = 8
	codes := make(chan int, clients)
	for i := range clients {
		go func() {
			r := httptest.NewRequest(http.MethodPut, location, strings.NewReader(fmt.Sprintf(`{"title":"Quay %d","spread":{"page_width":130,"page_height":180}}`, i)))
			r.Header.Set("Content-Type", MediaJSON)
			r.Header.Set("If-Match", tag)
			w := httptest.NewRecorder()
			s.Handler().ServeHTTP(w, r)
			codes <- w.Code
		}()
	}
	count := map[int]int{}
	for range clients {
		count[<-codes]++
	}
	if count[http.StatusOK] != 1 || count[http.StatusPreconditionFailed] != clients-1 {
		t.Errorf("answered %v", count)
	}
}

// Patches of whatever is newest all get in, one after the other.
func TestConcurrentPatchesOfTheNewest(t *testing.T) {
	s := newServer(t)
	location := post(t, s, "/v1/designs", `{"spread":{"page_width":130,"page_height":180}}`).Header().Get("Location")
	const clients = 3 // fewer than patchTries, so that each gets its turn
	codes := make(chan int, clients)
	for i := range clients {
		go func() {
			r := httptest.NewRequest(http.MethodPatch, location, strings.NewReader([]string{`{"title":"Quay"}`, `{"notes":"low"}`, `{"tags":["sea"]}`}[i]))
			r.Header.Set("Content-Type", MediaJSON)
			r.Header.Set("If-Match", "*")
			w := httptest.NewRecorder()
			s.Handler().ServeHTTP(w, r)
			codes <- w.Code
		}()
	}
	for range clients {
		if code := <-codes; code != http.StatusOK {
			t.Errorf("answered %d", code)
		}
	}
	doc := get(t, s, location).Body.String()
	for _, part := range []string{`"Quay"`, `"low"`, `"sea"`} {
		if !strings.Contains(doc, part) {
			t.Errorf("%s got lost: %s", part, doc)
		}
	}
}

// The router knows every operation of the contract, and no other.
func TestRoutesAreThoseOfTheContract(t *testing.T) {
	s := newServer(t)
	routed := map[string]bool{}
	for _, r := range s.handler.(*echo.Echo).Routes() {
		if r.Method == http.MethodHead {
			continue // GET without the body
		}
		routed[operationKey(r.Method, r.Path)] = true
		if s.operations[operationKey(r.Method, r.Path)] == nil {
			t.Errorf("%s %s is not in the contract", r.Method, r.Path)
		}
	}
	for key := range s.operations {
		if !routed[key] {
			t.Errorf("%s is not routed", key)
		}
	}
}

// Every operation refuses parameters it does not know, and says so in the
// contract.
func TestEveryOperationRefusesUnknownParameters(t *testing.T) {
	s := newServer(t)
	for key, op := range s.operations {
		if op.route.Operation.Responses.Value("400") == nil {
			t.Errorf("%s documents no 400", key)
		}
		method, path, _ := strings.Cut(key, " ")
		r := httptest.NewRequest(method, strings.NewReplacer(":n", "1", ":", "").Replace(path)+"?berth=3", nil)
		w := call(t, s, r)
		if w.Code != http.StatusBadRequest || !strings.Contains(w.Body.String(), "/query/berth") {
			t.Errorf("%s: %d %s", key, w.Code, w.Body)
		}
	}
}

// Every kind has an example that uses it, so that each can be tried at once.
func TestEveryKindHasAnExample(t *testing.T) {
	used := map[design.Kind]bool{}
	for _, name := range designs.Names() {
		doc := exampleDocument(t, name)
		if doc.Design.Title == "" || doc.Design.Notes == "" {
			t.Errorf("%s has no title or no notes", name)
		}
		for _, m := range doc.Design.Mechanisms {
			used[m.Kind] = true
		}
	}
	for _, k := range design.Kinds() {
		if !used[k.Kind] {
			t.Errorf("no example has a %s", k.Kind)
		}
	}
}

// The examples work: nothing is found in them but what is worth knowing, and that
// the pieces of the seventh and eighth generation, 9 to 12 mm long on hosts no
// wider, have no room for a good tab.
func TestExamplesPassTheirChecks(t *testing.T) {
	for _, name := range designs.Names() {
		report, err := (&Pipeline{}).Check(t.Context(), exampleDocument(t, name), CheckOptions{})
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range report.Findings {
			small := name == "generations" && f.Code == "tab_too_small"
			if f.Severity != Note && !small {
				t.Errorf("%s: %s %s %s", name, f.Severity, f.Code, f.Message)
			}
		}
	}
}

// What the metrics say of the schema is what the store says.
func TestSchemaIsTold(t *testing.T) {
	store := newStore(t)
	version, err := store.(storage.Backend).Schema(t.Context())
	if err != nil || version == 0 {
		t.Fatal(version, err)
	}
	if said := get(t, serverWith(t, Config{Store: store}), "/metrics").Body.String(); !strings.Contains(said, fmt.Sprintf("\nfoldwright_schema_version %d\n", version)) {
		t.Errorf("the metrics do not tell the schema %d", version)
	}
}
