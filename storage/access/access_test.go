package access_test

import (
	"crypto/sha256"
	"fmt"
	"strings"
	"testing"

	"foldwright/storage/access"
)

func TestScopesIncludeOneAnother(t *testing.T) {
	for i, held := range access.Scopes() {
		for j, needed := range access.Scopes() {
			if got := held.Includes(needed); got != (i >= j) {
				t.Errorf("%s includes %s: %v", held, needed, got)
			}
		}
		if held.Includes("") || held.Includes("owner") || access.Scope("").Includes(held) || access.Scope("owner").Includes(held) {
			t.Errorf("%s is mistaken for a scope that is none", held)
		}
	}
}

func TestSecrets(t *testing.T) {
	seen := map[string]bool{}
	for _, kind := range []access.Kind{access.KeySecret, access.BrowserSecret, access.ShareSecret} {
		for range 100 {
			s := access.NewSecret(kind)
			if seen[s] || !kind.IsSecret(s) {
				t.Fatalf("made %s", s)
			}
			seen[s] = true
			// 26 letters of an alphabet of 32 hold 130 bits.
			if random := strings.TrimPrefix(s, string(kind)); len(random) != 26 {
				t.Errorf("%s has %d random letters", s, len(random))
			}
			for _, other := range []access.Kind{access.KeySecret, access.BrowserSecret, access.ShareSecret} {
				if other != kind && other.IsSecret(s) {
					t.Errorf("%s is taken for a %s", s, other)
				}
			}
			if got, want := access.Hash(s), fmt.Sprintf("%x", sha256.Sum256([]byte(s))); got != want {
				t.Errorf("hashed to %s, want %s", got, want)
			}
			if got := access.Redact("GET /v1/shared/" + s + ": gone"); strings.Contains(got, s[len(kind):]) || !strings.HasSuffix(got, ": gone") {
				t.Errorf("redacted to %s", got)
			}
		}
	}
	for _, text := range []string{"", "foldwright_key_", "foldwright_key_AAAA", "foldwright_key_" + strings.Repeat("a", 26), "x" + access.NewSecret(access.KeySecret)} {
		if access.KeySecret.IsSecret(text) {
			t.Errorf("%q is taken for a key", text)
		}
	}
}

func TestCheckWorkspace(t *testing.T) {
	for name, ok := range map[string]bool{
		"local": true, "quay-side_2": true, "q": true, strings.Repeat("q", 40): true,
		"": false, "Quay": false, "2quay": false, "quay side": false, "quay\x00": false, strings.Repeat("q", 41): false, "quay\n": false,
	} {
		if err := access.CheckWorkspace(name); (err == nil) != ok {
			t.Errorf("%q: %v", name, err)
		}
	}
}

func TestCheckOrigin(t *testing.T) {
	for origin, ok := range map[string]bool{
		"https://workshop.example": true, "http://localhost:3000": true, "https://workshop.example:8443": true, "http://[::1]:3000": true,
		"": false, "null": false, "*": false, "https://*.example": false, "workshop.example": false, "https://workshop.example/": false,
		"https://Workshop.example": false, "https://workshop.example:443": false, "http://workshop.example:80": false, "https://workshop.example:": false,
		"https://user@workshop.example": false, "https://workshop.example?x": false, "https://workshop.example#x": false, "ftp://workshop.example": false,
		"https://": false, "https://:8443": false,
	} {
		if err := access.CheckOrigin(origin); (err == nil) != ok {
			t.Errorf("%q: %v", origin, err)
		}
	}
}
