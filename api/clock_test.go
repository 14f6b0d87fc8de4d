package api

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"foldwright/api/jobs"
	"foldwright/storage"
	"foldwright/storage/sqlite"
)

// tide is a service whose clock is set by the test, as a machine's may be by
// somebody, or by a time server after a long time without one.
type tide struct {
	*Server
	t *testing.T

	mu  sync.Mutex
	now time.Time
}

func newTide(t *testing.T, config Config) *tide {
	t.Helper()
	h := &tide{t: t, now: time.Date(2026, 3, 1, 6, 30, 0, 0, time.UTC)}
	clock := func() time.Time { h.mu.Lock(); defer h.mu.Unlock(); return h.now }
	store, err := sqlite.Open(t.Context(), filepath.Join(t.TempDir(), "designs.db"), storage.Options{Now: clock, DeletedRetention: 24 * time.Hour})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := store.Close(); err != nil {
			t.Error(err)
		}
	})
	config.Store, config.Now = store, clock
	h.Server = serverWith(t, config)
	return h
}

func (h *tide) set(by time.Duration) { h.mu.Lock(); defer h.mu.Unlock(); h.now = h.now.Add(by) }

// ask sends a request, with fields of its header and their values in turns.
func (h *tide) ask(method, path, body string, header ...string) *httptest.ResponseRecorder {
	h.t.Helper()
	r := httptest.NewRequest(method, path, strings.NewReader(body))
	if body != "" {
		r.Header.Set("Content-Type", MediaJSON)
	}
	for i := 0; i < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
	}
	return call(h.t, h.Server, r)
}

// made is the answer to a request that makes something.
func made[T any](h *tide, path, body string, header ...string) (T, *httptest.ResponseRecorder) {
	h.t.Helper()
	w := h.ask(http.MethodPost, path, body, header...)
	if w.Code != http.StatusCreated {
		h.t.Fatalf("%s: %d %s", path, w.Code, w.Body)
	}
	var v T
	decode(h.t, w, &v)
	return v, w
}

const plainDesign = `{"title":"Quay","spread":{"page_width":130,"page_height":180}}`

// A key and a share end by the clock, and are good again only while it is
// before their end; what was revoked stays so.
func TestExpiryWhenTheClockIsSet(t *testing.T) {
	h := newTide(t, Config{})
	key, _ := made[KeyRecord](h, "/v1/keys", `{"scope":"read","valid_days":1}`)
	d, _ := made[DesignRecord](h, "/v1/designs", plainDesign)
	share, _ := made[ShareRecord](h, "/v1/designs/"+d.Id+"/shares", `{"valid_days":1}`)
	hold := func(why string, byKey, byShare int) {
		t.Helper()
		if w := h.ask(http.MethodGet, "/v1/designs", "", "Authorization", "Bearer "+*key.Secret); w.Code != byKey {
			t.Errorf("%s: the key is answered %d, want %d", why, w.Code, byKey)
		}
		if w := h.ask(http.MethodGet, *share.Url, ""); w.Code != byShare {
			t.Errorf("%s: the share is answered %d, want %d", why, w.Code, byShare)
		}
	}
	hold("at first", 200, 200)
	h.set(-5 * time.Hour)
	hold("set back before they were made", 200, 200)
	h.set(28 * time.Hour)
	hold("an hour before they end", 200, 200)
	h.set(2 * time.Hour)
	hold("an hour after", 401, 404)
	h.set(-2 * time.Hour)
	hold("set back to before", 200, 200)
	h.ask(http.MethodDelete, "/v1/keys/"+key.Id, "")
	h.ask(http.MethodDelete, "/v1/designs/"+d.Id+"/shares/"+share.Id, "")
	for _, step := range []time.Duration{0, -10 * time.Hour, 100 * time.Hour, -90 * time.Hour} {
		h.set(step)
		hold(fmt.Sprint("revoked, and set by ", step), 401, 404)
	}
}

// Which version a client holds, and which it changes, is told by what it is and
// not by when it was made.
func TestConditionsWhenTheClockIsSet(t *testing.T) {
	h := newTide(t, Config{})
	d, w := made[DesignRecord](h, "/v1/designs", plainDesign, "Idempotency-Key", "tide-1")
	path := "/v1/designs/" + d.Id
	first := h.ask(http.MethodGet, path, "")
	h.set(-3 * time.Hour)
	if w := h.ask(http.MethodPatch, path, `{"title":"Quay at low tide"}`, "If-Match", first.Header().Get("ETag")); w.Code != http.StatusOK {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	second := h.ask(http.MethodGet, path, "")
	if earlier, later := second.Header().Get("Last-Modified"), first.Header().Get("Last-Modified"); earlier != "Sun, 01 Mar 2026 03:30:00 GMT" || later != "Sun, 01 Mar 2026 06:30:00 GMT" {
		t.Fatalf("modified %s, then %s", later, earlier)
	}
	for _, tc := range []struct {
		why    string
		set    time.Duration
		header []string
		want   int
	}{
		{"holds the first", 0, []string{"If-None-Match", first.Header().Get("ETag")}, 200},
		{"got the first later than the second was made", 0, []string{"If-Modified-Since", first.Header().Get("Last-Modified")}, 200},
		{"holds the second", 0, []string{"If-None-Match", second.Header().Get("ETag")}, 304},
		// RFC 9110, section 13.1.3: If-None-Match goes before If-Modified-Since.
		{"holds the first, by both", 0, []string{"If-None-Match", first.Header().Get("ETag"), "If-Modified-Since", first.Header().Get("Last-Modified")}, 200},
		{"holds the second, hours after", 6 * time.Hour, []string{"If-None-Match", second.Header().Get("ETag")}, 304},
	} {
		h.set(tc.set)
		w := h.ask(http.MethodGet, path, "", tc.header...)
		if w.Code != tc.want || w.Code == http.StatusOK && w.Body.String() != second.Body.String() {
			t.Errorf("%s: %d %s", tc.why, w.Code, w.Body)
		}
	}
	h.set(-10 * time.Hour)
	if w := h.ask(http.MethodPatch, path, `{"title":"Lost"}`, "If-Match", first.Header().Get("ETag")); w.Code != http.StatusPreconditionFailed {
		t.Errorf("a change of the first: %d", w.Code)
	}
	if w := h.ask(http.MethodPost, path+"/restore?version=1", "", "If-Match", second.Header().Get("ETag")); w.Code >= 300 {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	if w := h.ask(http.MethodPatch, path, `{"title":"Lost"}`, "If-Match", first.Header().Get("ETag")); w.Code != http.StatusPreconditionFailed {
		t.Errorf("a change of the first, whose content the third has again: %d", w.Code)
	}
	var page VersionPage
	decode(t, h.ask(http.MethodGet, path+"/versions", ""), &page)
	numbers := []int{}
	for i := range page.Versions {
		numbers = append(numbers, int(page.Versions[i].Version))
	}
	if !slices.Equal(numbers, []int{3, 2, 1}) {
		t.Errorf("versions in the order %v", numbers)
	}
	again, replay := made[DesignRecord](h, "/v1/designs", plainDesign, "Idempotency-Key", "tide-1")
	if again.Id != d.Id || replay.Body.String() != w.Body.String() {
		t.Errorf("the same key made %s, then %s", w.Body, replay.Body)
	}
}

// Pages show each design once, although the clock is set and others are made
// between them.
func TestCursorsWhenTheClockIsSet(t *testing.T) {
	h := newTide(t, Config{})
	unseen := map[string]bool{}
	steps := []time.Duration{-3 * time.Hour, 5 * time.Hour, -time.Hour, 0, -4 * time.Hour, 2 * time.Hour}
	for _, step := range steps {
		h.set(step)
		d, _ := made[DesignRecord](h, "/v1/designs", plainDesign)
		unseen[d.Id] = true
	}
	seen := map[string]bool{}
	next := "/v1/designs?limit=2"
	for i := 0; next != ""; i++ {
		var page DesignPage
		decode(t, h.ask(http.MethodGet, next, ""), &page)
		for j := range page.Designs {
			id := page.Designs[j].Id
			if seen[id] {
				t.Errorf("%s is listed twice", id)
			}
			seen[id] = true
			delete(unseen, id)
		}
		next = ""
		if page.Next != nil {
			next = "/v1/designs?limit=2&cursor=" + *page.Next
		}
		if i < len(steps) {
			h.set(steps[i])
			made[DesignRecord](h, "/v1/designs", plainDesign)
		}
	}
	if len(unseen) > 0 {
		t.Errorf("not listed: %v", unseen)
	}
}

// What is remembered is what the version is, to who may see it now.
func TestRememberedAnswersWhenTheClockIsSet(t *testing.T) {
	h := newTide(t, Config{CacheBytes: 1 << 20})
	d, _ := made[DesignRecord](h, "/v1/designs", plainDesign)
	path := "/v1/designs/" + d.Id
	view := path + "/versions/1/view.svg"
	first := h.ask(http.MethodGet, view, "")
	for _, step := range []time.Duration{-3 * time.Hour, 9 * time.Hour, -2 * time.Hour} {
		h.set(step)
		w := h.ask(http.MethodGet, view, "")
		w.Header().Set(requestIDHeader, first.Header().Get(requestIDHeader))
		if w.Code != http.StatusOK || w.Body.String() != first.Body.String() || fmt.Sprint(w.Header()) != fmt.Sprint(first.Header()) {
			t.Errorf("%v: %d %v, want %v", step, w.Code, w.Header(), first.Header())
		}
	}
	if h.rememberedAnswers(worksItOut) != 1 {
		t.Errorf("worked out %v times", h.rememberedAnswers(worksItOut))
	}
	h.ask(http.MethodDelete, path, "")
	for _, step := range []time.Duration{0, -3 * time.Hour, 9 * time.Hour} {
		h.set(step)
		if w := h.ask(http.MethodGet, view, ""); w.Code != http.StatusGone {
			t.Errorf("deleted, and set by %v: %d", step, w.Code)
		}
	}
	if w := h.ask(http.MethodPost, path+"/restore", ""); w.Code != http.StatusOK {
		t.Errorf("restored: %d %s", w.Code, w.Body)
	}
	if w := h.ask(http.MethodGet, view, ""); w.Code != http.StatusOK || w.Body.String() != first.Body.String() {
		t.Errorf("of the restored: %d", w.Code)
	}
}

// Whoever has used up a rate is told to wait as long as without the step, and
// then answered; nobody gets more than is theirs.
func TestRatesWhenTheClockIsSet(t *testing.T) {
	const rate = 3
	h := newTide(t, Config{KeyRate: rate})
	key, _ := made[KeyRecord](h, "/v1/keys", `{"scope":"read"}`)
	ask := func() *httptest.ResponseRecorder {
		return h.ask(http.MethodGet, "/v1/designs", "", "Authorization", "Bearer "+*key.Secret)
	}
	for _, step := range []time.Duration{0, -5 * time.Hour, 9 * time.Hour, -4 * time.Hour} {
		h.set(step)
		let := 0
		for ; let <= rate && ask().Code == http.StatusOK; let++ {
		}
		w := ask()
		wait, err := strconv.Atoi(w.Header().Get("Retry-After"))
		if let > rate || w.Code != http.StatusTooManyRequests || err != nil || wait > 60/rate {
			t.Errorf("%v: %d let through, then %d, to wait for %d s", step, let, w.Code, wait)
		}
		h.set(time.Duration(wait) * time.Second)
		if w := ask(); w.Code != http.StatusOK {
			t.Errorf("%v: %d after the wait", step, w.Code)
		}
	}
}

// A job that is at work when the clock is set ends with its result, though
// another worker may have taken it over.
func TestJobsWhenTheClockIsSet(t *testing.T) {
	h := newTide(t, Config{JobWorkers: 2, JobTimes: jobs.Times{Pace: 5 * time.Millisecond, Lease: 10 * time.Second}})
	atWork(t, h.Server)
	const operation, body = "layout", `{"example":"lighthouse","copies":10,"effort":100}`
	want := h.ask(http.MethodPost, "/v1/"+operation, body)
	for _, step := range []time.Duration{-3 * time.Hour, 5 * time.Hour, -2 * time.Hour} {
		j := submitJob(t, h.Server, `{"operation":"`+operation+`","request":`+body+`}`)
		path := "/v1/jobs/" + j.Id
		record := func() (seen JobRecord) {
			decode(t, h.ask(http.MethodGet, path, ""), &seen)
			return seen
		}
		for end := time.Now().Add(time.Minute); record().State == JobStateQueued; time.Sleep(time.Millisecond) {
			if time.Now().After(end) {
				t.Fatal("no worker takes the job")
			}
		}
		h.set(step)
		h.ask(http.MethodGet, path+"/events", "") // ends when the job does
		if seen := record(); seen.State != JobStateDone {
			t.Errorf("%v: %+v", step, seen)
		}
		if got := h.ask(http.MethodGet, path+"/result", ""); got.Code != http.StatusOK || got.Body.String() != want.Body.String() {
			t.Errorf("%v: %d %.300s, want %.300s", step, got.Code, got.Body, want.Body)
		}
	}
}
