package client_test

import (
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	"foldwright/openapi/client"
)

// A busy service is asked again, with the same body and the same name for the
// change; one that asks for too long a wait, or stays busy, is a problem.
func TestSenderWaitsItsTurn(t *testing.T) {
	for _, row := range []struct {
		why      string
		statuses []int // answered one after the other, the last for ever
		after    string
		sent     int
		status   int
	}{
		{"not busy", []int{200}, "", 1, 0},
		{"busy twice", []int{429, 503, 200}, "0", 3, 0},
		{"busy for ever", []int{503}, "0", 4, 503},
		{"too long a wait", []int{429, 200}, "3600", 1, 429},
		{"no word of when", []int{503, 200}, "", 1, 503},
		{"another fault", []int{500, 200}, "0", 1, 500},
	} {
		var bodies, names []string
		web := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			body, _ := io.ReadAll(r.Body)
			bodies, names = append(bodies, string(body)), append(names, r.Header.Get("Idempotency-Key"))
			if row.after != "" {
				w.Header().Set("Retry-After", row.after)
			}
			w.WriteHeader(row.statuses[min(len(bodies), len(row.statuses))-1])
		}))
		r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, web.URL, strings.NewReader("jetty"))
		if err != nil {
			t.Fatal(err)
		}
		answer, err := (&client.Sender{LongestWait: time.Minute}).Do(r)
		if row.status != 0 {
			problem(t, err, row.status)
		} else if err != nil {
			t.Errorf("%s: %v", row.why, err)
		} else {
			answer.Body.Close()
		}
		if len(bodies) != row.sent || slices.ContainsFunc(bodies, func(b string) bool { return b != "jetty" }) {
			t.Errorf("%s: sent %q, want it %d times", row.why, bodies, row.sent)
		}
		if names[0] == "" || slices.ContainsFunc(names, func(n string) bool { return n != names[0] }) {
			t.Errorf("%s: the change has the names %q", row.why, names)
		}
		web.Close()
	}
}
