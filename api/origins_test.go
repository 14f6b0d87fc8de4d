package api

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"foldwright/storage"
	"foldwright/storage/access"
)

// Which pages may read an answer, by the Fetch standard's Access-Control-Allow-Origin.
func TestAnswersForPages(t *testing.T) {
	const intranet = "https://intranet.example"
	h := newHarbour(t, Config{Origins: []string{intranet}})
	b := h.berth(t)
	version := "/v1/designs/" + b.id + "/versions/1"
	for _, row := range []struct {
		why, path, key, origin string
		status                 int
		allowed                string
	}{
		{"a browser key from its pages", "/v1/mechanisms", "browser", workshop, 200, workshop},
		{"and what it may not do", "/v1/designs", "browser", workshop, 403, workshop},
		{"a browser key from others", "/v1/designs", "browser", elsewhere, 403, ""},
		{"another key from those pages", "/v1/designs", "read", workshop, 200, ""},
		{"any key from an allowed origin", "/v1/designs", "read", intranet, 200, intranet},
		{"also when it is refused", "/v1/designs", "", intranet, 401, intranet},
		{"what is open to everyone", "/v1/examples/quay", "", elsewhere, 200, "*"},
		{"who has the link", version + "?share=" + b.token, "", elsewhere, 200, "*"},
		{"who has no link", version, "", elsewhere, 401, ""},
		{"no page", "/v1/examples/quay", "", "", 200, ""},
	} {
		r := httptest.NewRequest(http.MethodGet, row.path, nil)
		if row.key != "" {
			r.Header.Set("Authorization", "Bearer "+h.keys[row.key])
		}
		if row.origin != "" {
			r.Header.Set("Origin", row.origin)
		}
		w := call(t, h.Server, r)
		if got := w.Header().Get("Access-Control-Allow-Origin"); w.Code != row.status || got != row.allowed {
			t.Errorf("%s: %d for %q, want %d for %q", row.why, w.Code, got, row.status, row.allowed)
		}
		if exposed := w.Header().Get("Access-Control-Expose-Headers"); (row.allowed != "") != strings.Contains(exposed, "ETag") {
			t.Errorf("%s: exposes %q", row.why, exposed)
		}
		if w.Header().Get("Access-Control-Allow-Credentials") != "" || !strings.Contains(w.Header().Get("Vary"), "Origin") {
			t.Errorf("%s: %v", row.why, w.Header())
		}
	}
}

func TestPreflight(t *testing.T) {
	h := newHarbour(t, Config{Origins: []string{"https://intranet.example"}, AddressRate: 6})
	ended := h.now
	h.addKey(t, "mill", storage.NewKey{Scope: access.Browser, Origins: []string{"https://ended.example"}, ExpiresAt: &ended}, false)
	for _, row := range []struct {
		origin  string
		allowed bool
	}{
		{workshop, true}, {"https://intranet.example", true}, {elsewhere, false}, {"null", false}, {"https://ended.example", false},
	} {
		r := httptest.NewRequest(http.MethodOptions, "/v1/solve", nil)
		r.Header.Set("Origin", row.origin)
		r.Header.Set("Access-Control-Request-Method", http.MethodPost)
		r.Header.Set("Access-Control-Request-Headers", "authorization,content-type")
		w := call(t, h.Server, r)
		got := w.Header().Get("Access-Control-Allow-Origin")
		if row.allowed != (w.Code == http.StatusNoContent && got == row.origin) || !row.allowed && (w.Code != http.StatusForbidden || got != "") {
			t.Errorf("%s: %d for %q", row.origin, w.Code, got)
		}
		if row.allowed && (!strings.Contains(w.Header().Get("Access-Control-Allow-Headers"), "Authorization") ||
			!strings.Contains(w.Header().Get("Access-Control-Allow-Methods"), http.MethodPost) || w.Body.Len() > 0) {
			t.Errorf("%s: %v %s", row.origin, w.Header(), w.Body)
		}
	}
	r := httptest.NewRequest(http.MethodOptions, "/v1/solve", nil) // which asks for nothing
	if w := call(t, h.Server, r); w.Code != http.StatusNoContent || w.Header().Get("Allow") == "" || w.Header().Get("Access-Control-Allow-Methods") != "" {
		t.Errorf("plain OPTIONS: %d %v", w.Code, w.Header())
	}
	r.Header.Set("Origin", workshop)
	r.Header.Set("Access-Control-Request-Method", http.MethodPost)
	if w := call(t, h.Server, r); w.Code != http.StatusTooManyRequests {
		t.Errorf("the sixth after five and one: %d", w.Code)
	}
}

// What every answer says to a browser, and what pages say besides.
func TestSecurityHeaders(t *testing.T) {
	h := newHarbour(t, Config{})
	b := h.berth(t)
	const strict = "default-src 'none'; "
	for path, want := range map[string]struct{ frames, policy string }{
		"/docs": {"DENY", strict}, "/v1/examples/quay/embed": {"", strict}, "/v1/examples/quay/view.svg": {"", strict},
		"/v1/designs/" + b.id + "/versions/1/embed?share=" + b.token: {"", strict},
		// What cannot be a page; a viewer of PDF would not show it under a policy.
		"/v1/examples/quay": {}, "/v1/examples/quay/pattern.pdf": {}, "/v1/designs": {}, "/nothing": {},
	} {
		w := get(t, h.Server, path)
		header := w.Header()
		policy := header.Get("Content-Security-Policy")
		if header.Get("X-Content-Type-Options") != "nosniff" || header.Get("Referrer-Policy") != "no-referrer" ||
			header.Get("X-Frame-Options") != want.frames || (policy != "") != (want.policy != "") || !strings.HasPrefix(policy, want.policy) {
			t.Errorf("%s: %d %v", path, w.Code, header)
		}
	}
}
