package api

import (
	"net/http"
	"net/http/httptest"
	"net/netip"
	"strings"
	"testing"
)

func TestNetworks(t *testing.T) {
	for address, want := range map[string]string{
		"192.0.2.1":               "192.0.2.1",
		"::ffff:192.0.2.1":        "192.0.2.1",
		"2001:db8:1:2:3:4:5:6":    "2001:db8:1:2::/64",
		"2001:db8:1:2:ffff::":     "2001:db8:1:2::/64",
		"2001:db8:1:3::1":         "2001:db8:1:3::/64",
		"fe80::1%eth0":            "fe80::/64",
		"a socket without an end": "a socket without an end",
	} {
		if got := networkOf(address); got != want {
			t.Errorf("%s counts as %s, want %s", address, got, want)
		}
	}
}

// Only who is trusted is believed, from the nearest outwards.
func TestClientAddress(t *testing.T) {
	trusted := proxies{netip.MustParsePrefix("10.0.0.0/8"), netip.MustParsePrefix("2001:db8::/32")}
	for _, row := range []struct {
		why                   string
		proxies               proxies
		from, forwarded, want string
	}{
		{"nobody is trusted", nil, "10.0.0.1:80", "203.0.113.9", "10.0.0.1"},
		{"not even this machine", trusted, "127.0.0.1:80", "203.0.113.9", "127.0.0.1"},
		{"a stranger pretends", trusted, "203.0.113.5:80", "198.51.100.1", "203.0.113.5"},
		{"a proxy", trusted, "10.0.0.1:80", "203.0.113.9", "203.0.113.9"},
		{"a proxy behind a proxy", trusted, "[2001:db8::1]:80", "203.0.113.9, 10.1.1.1", "203.0.113.9"},
		{"a client pretends before the proxy", trusted, "10.0.0.1:80", "198.51.100.1, 203.0.113.9", "203.0.113.9"},
		{"a proxy that says nothing", trusted, "10.0.0.1:80", "", "10.0.0.1"},
	} {
		r := httptest.NewRequest(http.MethodGet, "/", nil)
		r.RemoteAddr = row.from
		if row.forwarded != "" {
			r.Header.Set("X-Forwarded-For", row.forwarded)
		}
		r.Header.Set("X-Real-Ip", "198.51.100.7")
		if got := row.proxies.extractor()(r); got != row.want {
			t.Errorf("%s: %s, want %s", row.why, got, row.want)
		}
	}
}

// The scheme of links is believed from a proxy only.
func TestSchemeOfLinks(t *testing.T) {
	h := newHarbour(t, Config{TrustedProxies: []netip.Prefix{netip.MustParsePrefix("10.0.0.0/8")}})
	b := h.berth(t)
	for from, want := range map[string]string{"10.0.0.1:80": "https://example.com/", "203.0.113.5:80": "http://example.com/"} {
		r := httptest.NewRequest(http.MethodPost, "/v1/designs/"+b.id+"/shares", strings.NewReader("{}"))
		r.RemoteAddr = from
		r.Header.Set("X-Forwarded-Proto", "https")
		r.Header.Set("Content-Type", MediaJSON)
		r.Header.Set("Authorization", "Bearer "+h.keys["write"])
		var made ShareRecord
		w := call(t, h.Server, r)
		decode(t, w, &made)
		if made.Url == nil || !strings.HasPrefix(*made.Url, want+"v1/shared/foldwright_share_") || w.Header().Get("Cache-Control") != "no-store" {
			t.Errorf("from %s: %s", from, w.Body)
		}
	}
}

// Without keys the service is its own machine's: not of a page that lets its
// name point here, nor of who comes through a proxy, nor of another's page.
func TestOwnMachine(t *testing.T) {
	s, err := New(Config{Store: newStore(t), Origins: []string{workshop}})
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct {
		host, origin string
		own          bool
	}{
		{"127.0.0.1:8080", "", true},
		{"127.0.0.1", "", true},
		{"localhost:8080", "", true},
		{"[::1]:8080", "", true},
		{"[::1]", "", true},
		{"127.0.0.1:8080", "http://127.0.0.1:8080", true},
		{"127.0.0.1:8080", workshop, true}, // which the owner has allowed
		{"127.0.0.1:8080", elsewhere, false},
		{"127.0.0.1:8080", "http://127.0.0.1:3000", false},
		{"127.0.0.1:8080", "null", false},
		{"elsewhere.example:8080", "", false},
		{"elsewhere.example:8080", "http://elsewhere.example:8080", false},
		{"192.0.2.1:8080", "", false},
		{"localhost.elsewhere.example", "", false},
		{"", "", false},
	} {
		r := httptest.NewRequest(http.MethodGet, "/v1/designs", nil)
		r.Host = row.host
		if row.origin != "" {
			r.Header.Set("Origin", row.origin)
		}
		w := call(t, s, r)
		if (w.Code == http.StatusOK) != row.own || !row.own && (w.Code != http.StatusUnauthorized || !strings.Contains(w.Body.String(), "its own machine")) {
			t.Errorf("%q from %q: %d %s", row.host, row.origin, w.Code, w.Body)
		}
		if row.own {
			for _, name := range []string{"Forwarded", "Via", "X-Forwarded-For", "X-Real-Ip"} {
				forwarded := r.Clone(t.Context())
				forwarded.Header.Set(name, "192.0.2.1")
				if w := call(t, s, forwarded); w.Code != http.StatusUnauthorized {
					t.Errorf("%q with %s: %d", row.host, name, w.Code)
				}
			}
		}
		r.URL.Path = "/v1/mechanisms" // open to everyone
		if w := call(t, s, r); w.Code != http.StatusOK {
			t.Errorf("mechanisms at %q from %q: %d", row.host, row.origin, w.Code)
		}
	}
}

// Keys are honoured where none are required.
func TestKeyOnOwnMachine(t *testing.T) {
	h := newHarbour(t, Config{})
	h.keysRequired = false
	b := h.berth(t)
	for key, want := range map[string]int{"": http.StatusNotFound, "read": http.StatusOK, "stranger": http.StatusNotFound, "revoked": http.StatusUnauthorized} {
		r := httptest.NewRequest(http.MethodGet, "/v1/designs/"+b.id, nil)
		if key != "" {
			r.Header.Set("Authorization", "Bearer "+h.keys[key])
		}
		if w := call(t, h.Server, r); w.Code != want {
			t.Errorf("%q: %d, want %d", key, w.Code, want)
		}
	}
}
