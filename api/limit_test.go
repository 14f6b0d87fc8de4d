package api

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"foldwright/storage"
	"foldwright/storage/access"
)

// A bucket of 60 a minute holds 60 and gains one each second.
func TestLimiter(t *testing.T) {
	l := newLimiter("key", 60)
	now := time.Date(2026, 3, 1, 6, 30, 0, 0, time.UTC)
	for i := range 60 {
		if a := l.take("quay", now); a.wait != 0 || int(a.left) != 59-i {
			t.Fatalf("request %d: %+v", i, a)
		}
	}
	for _, step := range []struct {
		after time.Duration
		left  int
		wait  time.Duration
	}{
		{0, 0, time.Second},
		{400 * time.Millisecond, 0, 600 * time.Millisecond},
		{600 * time.Millisecond, 0, 0}, // and took it
		{0, 0, time.Second},
		{10 * time.Second, 9, 0},
		{-time.Hour, 8, 0}, // a clock set back gives nothing and takes nothing
		{3 * time.Hour, 59, 0},
	} {
		now = now.Add(step.after)
		a := l.take("quay", now)
		if int(a.left) != step.left || (a.wait-step.wait).Abs() > time.Microsecond {
			t.Errorf("after %v: %d left, wait %v, want %+v", step.after, int(a.left), a.wait, step)
		}
	}
	if a := l.take("mill", now); int(a.left) != 59 {
		t.Errorf("another subject has %v left", a.left)
	}
}

// However many addresses there are, the memory is bounded, and who is quiet is
// forgotten.
func TestLimiterForgets(t *testing.T) {
	l := newLimiter("address", 60)
	now := time.Date(2026, 3, 1, 6, 30, 0, 0, time.UTC)
	for i := range maxSubjects + 100 {
		l.take(fmt.Sprint(i), now)
	}
	if len(l.left) > maxSubjects+1 {
		t.Errorf("%d buckets", len(l.left))
	}
	if a := l.take("one more", now); a.wait == 0 {
		t.Errorf("those without a bucket of their own are not limited: %+v", a)
	}
	now = now.Add(2 * time.Minute)
	if l.take("quay", now); len(l.left) != 1 {
		t.Errorf("%d buckets after a quiet minute", len(l.left))
	}
}

func TestRates(t *testing.T) {
	h := newHarbour(t, Config{KeyRate: 5, AddressRate: 3})
	ask := func(path, key, address, origin string) *httptest.ResponseRecorder {
		r := httptest.NewRequest(http.MethodGet, path, nil)
		r.RemoteAddr = address
		if key != "" {
			r.Header.Set("Authorization", "Bearer "+h.keys[key])
		}
		if origin != "" {
			r.Header.Set("Origin", origin)
		}
		return call(t, h.Server, r)
	}
	const quay, mill, hill = "192.0.2.1:1", "192.0.2.2:1", "192.0.2.3:1"
	for i, step := range []struct {
		why                        string
		path, key, address, origin string
		status                     int
		limits                     string
		after                      time.Duration
	}{
		{"an address", "/v1/examples", "", quay, "", 200, `"address";r=2;t=20`, 0},
		{"the same from another port", "/v1/examples", "", "192.0.2.1:2", "", 200, `"address";r=1;t=40`, 0},
		{"a key that is not good is counted too", "/v1/designs", "unknown", quay, "", 401, `"address";r=0;t=60`, 0},
		{"the last one was that", "/v1/examples", "", quay, "", 429, `"address";r=0;t=60`, 0},
		{"a bad key as well", "/v1/designs", "unknown", quay, "", 429, `"address";r=0;t=60`, 0},
		{"running the service is free", "/healthz", "", quay, "", 200, "", 0},
		{"but not with a bad key", "/healthz", "unknown", quay, "", 429, `"address";r=0;t=60`, 0},
		{"a key is counted by itself", "/v1/designs", "read", quay, "", 200, `"key";r=4;t=12`, 0},
		{"wherever it comes from", "/v1/designs", "read", mill, "", 200, `"key";r=3;t=24`, 0},
		{"another key", "/v1/designs", "write", quay, "", 200, `"key";r=4;t=12`, 0},
		{"a public key counts for both", "/v1/examples", "browser", mill, workshop, 200, `"key";r=4;t=12, "address";r=2;t=20`, 0},
		{"time fills the buckets", "/v1/examples", "", quay, "", 200, `"address";r=0;t=60`, 20 * time.Second},
		{"and no more than that", "/v1/designs", "read", hill, "", 200, `"key";r=4;t=12`, time.Hour},
	} {
		h.now = h.now.Add(step.after)
		w := ask(step.path, step.key, step.address, step.origin)
		if got := strings.Join(w.Header().Values("RateLimit"), ", "); w.Code != step.status || got != step.limits {
			t.Errorf("%d, %s: %d %s, want %d %s", i, step.why, w.Code, got, step.status, step.limits)
		}
		if wait := w.Header().Get("Retry-After"); (wait != "") != (w.Code == 429) || wait != "" && wait != "20" {
			t.Errorf("%d, %s: Retry-After %q", i, step.why, wait)
		}
	}
	if got := ask("/v1/designs", "read", quay, "").Header().Get("RateLimit-Policy"); got != `"key";q=5;w=60` {
		t.Errorf("policy %s", got)
	}
	if !strings.Contains(metricsOf(t, h), `foldwright_refused_total{problem="too-many-requests",reason="address"} 3`) {
		t.Error("refusals are not counted")
	}
}

func metricsOf(t *testing.T, h *harbour) string {
	t.Helper()
	r := httptest.NewRequest(http.MethodGet, "/metrics", nil)
	r.Header.Set("Authorization", "Bearer "+h.keys["admin"])
	return call(t, h.Server, r).Body.String()
}

// On their own machine, owners are not counted.
func TestOwnersAreNotLimited(t *testing.T) {
	s := serverWith(t, Config{Store: newStore(t), KeyRate: 1, AddressRate: 1})
	for range 5 {
		if w := get(t, s, "/v1/designs"); w.Code != http.StatusOK || w.Header().Get("RateLimit") != "" {
			t.Errorf("%d %v", w.Code, w.Header())
		}
	}
}

// A key is one client in the queue wherever it works; visitors of a website,
// who share its browser key, are told apart by their addresses.
func TestClients(t *testing.T) {
	server := &principal{key: &storage.Key{ID: "1", Scope: access.Read}, address: "192.0.2.1"}
	moved := &principal{key: &storage.Key{ID: "1", Scope: access.Read}, address: "192.0.2.2"}
	visitor := &principal{key: &storage.Key{ID: "2", Scope: access.Browser}, address: "192.0.2.1"}
	other := &principal{key: &storage.Key{ID: "2", Scope: access.Browser}, address: "192.0.2.2"}
	reader := &principal{share: &storage.Share{}, address: "192.0.2.1"}
	if server.client() != moved.client() || visitor.client() == other.client() || server.client() == visitor.client() || reader.client() != visitor.client() {
		t.Errorf("%s, %s, %s, %s, %s", server.client(), moved.client(), visitor.client(), other.client(), reader.client())
	}
}

// A clock that is set back keeps nobody out for longer than a request takes to
// come back, and one that is set forward gives nobody more than is theirs.
func TestLimiterWhenTheClockIsSet(t *testing.T) {
	l := newLimiter("key", 60)
	now := time.Date(2026, 3, 1, 6, 30, 0, 0, time.UTC)
	for range 60 {
		l.take("quay", now)
	}
	for _, step := range []time.Duration{-5 * time.Hour, 9 * time.Hour, -4 * time.Hour} {
		now = now.Add(step)
		let := 0
		for range 100 {
			if l.take("quay", now).wait == 0 {
				let++
			}
		}
		if let > 60 {
			t.Errorf("%v: %d at once", step, let)
		}
		now = now.Add(time.Second)
		if a := l.take("quay", now); a.wait != 0 {
			t.Errorf("%v: kept out for %v more after a second", step, a.wait)
		}
	}
}
