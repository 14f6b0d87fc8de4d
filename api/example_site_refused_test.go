package api

import (
	"fmt"
	"net/http"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
)

// refusal is what a stand-in in front of the service answers in its place.
type refusal struct {
	status     int
	retryAfter func() string
	checks     atomic.Int64 // how many checks it has refused
}

// before is the stand-in; preflights pass it, as they are not what is refused.
func (s *exampleSite) before(service http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		refused := s.refusal.Load()
		if refused == nil || r.Method == http.MethodOptions {
			service.ServeHTTP(w, r)
			return
		}
		if r.URL.Path == "/v1/check" {
			refused.checks.Add(1)
		}
		w.Header().Set(headerAllowOrigin, "*")
		w.Header().Set(headerExposeHeaders, readByPages)
		w.Header().Set("Content-Type", mediaProblem)
		if refused.retryAfter != nil {
			w.Header().Set("Retry-After", refused.retryAfter())
		}
		w.WriteHeader(refused.status)
		_, _ = fmt.Fprintf(w, `{"title": %q, "status": %d}`, http.StatusText(refused.status), refused.status)
	})
}

const (
	told      = `(s => s.hidden ? "" : s.textContent)(document.getElementById("status"))`
	recovered = settled + ` && document.getElementById("status").hidden && [...document.querySelectorAll("#downloads button")].every(b => !b.disabled)`
	pageWidth = "/spread/page_width"
)

// read waits for the visitor to be told something, and checks that it is in the
// window, wherever in the page that is.
func (s *exampleSite) read(t *testing.T, part string) {
	t.Helper()
	s.wait(t, told+`.includes("`+part+`")`)
	s.run(t, chromedp.Evaluate[chromedp.Void](`scrollTo(0, 0)`))
	if got := s.eval(t, `(r => r.height > 0 && r.top >= 0 && r.bottom <= innerHeight)(document.getElementById("status").getBoundingClientRect())`); got != "true" {
		t.Errorf("%q is out of sight", part)
	}
}

// pictured checks that the picture is the one of this address, and whole.
func (s *exampleSite) pictured(t *testing.T, src string) {
	t.Helper()
	if got := s.eval(t, `(p => p.src === "`+src+`" && !p.hidden && p.naturalWidth > 0)(document.getElementById("picture"))`); got != "true" {
		t.Error("the last good picture has gone")
	}
}

// A visitor who is refused reads for how long, keeps the picture, and is served
// when the time has come.
func TestExampleSiteWaitsAsItIsTold(t *testing.T) {
	s := exampleSiteOf(t, true, Config{})
	soon := func() string { return "1" }
	// RFC 9110, 10.2.3: a date will do too; its parts of a second are lost.
	date := func() string { return time.Now().Add(2 * time.Second).UTC().Format(http.TimeFormat) }
	for _, c := range []struct {
		name       string
		status     int
		retryAfter func() string
		do         func()
		told, then string
	}{
		{"from the beginning", http.StatusServiceUnavailable, soon, func() { s.open(t, "/") },
			"hands full", `document.querySelector("#fields legend").textContent === "V fold"`},
		{"typing", http.StatusTooManyRequests, date, func() { s.enter(t, pageWidth, "121") },
			"much in a short time", strings.ReplaceAll(field, "POINTER", pageWidth) + `.value === "121"`},
		// What is typed after it, in the form that is still there, does not undo the choice.
		{"choosing", http.StatusServiceUnavailable, soon, func() {
			s.run(t, chromedp.Evaluate[chromedp.Void](`document.querySelector("#kinds input[value=box]").click()`))
			s.enter(t, pageWidth, "122")
		}, "hands full", `document.querySelector("#fields legend").textContent === "Box"`},
	} {
		picture := ""
		if c.name != "from the beginning" {
			picture = s.eval(t, `document.getElementById("picture").src`)
		}
		s.refusal.Store(&refusal{status: c.status, retryAfter: c.retryAfter})
		c.do()
		s.read(t, c.told)
		if got := s.eval(t, told); !strings.Contains(got, "What you have typed stays. We try again by ourselves") {
			t.Errorf("%s: visitors are told %q", c.name, got)
		}
		if got := s.eval(t, `[...document.querySelectorAll("#downloads button")].every(b => b.disabled)`); got != "true" {
			t.Errorf("%s: downloads are offered", c.name)
		}
		if picture != "" {
			s.pictured(t, picture)
		}
		s.refusal.Store(nil)
		s.wait(t, recovered+` && document.getElementById("picture").src !== "`+picture+`" && `+c.then)
	}
	s.doesNotHammer(t)
}

// doesNotHammer checks that what is typed while the page has been told to wait
// does not ask before it.
func (s *exampleSite) doesNotHammer(t *testing.T) {
	t.Helper()
	const wait = 60 // seconds
	refused := &refusal{status: http.StatusTooManyRequests, retryAfter: func() string { return fmt.Sprint(wait) }}
	s.refusal.Store(refused)
	began := time.Now()
	s.enter(t, pageWidth, "123")
	s.wait(t, `/in [1-9][0-9]? seconds/.test(`+told+`)`)
	for _, width := range []string{"124", "125"} { // each after the pause of one who types
		s.enter(t, pageWidth, width)
		s.run(t, chromedp.Sleep(400*time.Millisecond))
	}
	if most := 1 + int64(time.Since(began).Seconds())/wait; refused.checks.Load() > most {
		t.Errorf("asked %d times, where %d were due", refused.checks.Load(), most)
	}
}

// A key that is refused is nothing to try again, and keeps nobody's work from
// them; nor does the want of a network, which is waited for.
func TestExampleSiteOfflineOrRejected(t *testing.T) {
	s := newExampleSite(t, true)
	s.wait(t, recovered)
	picture := s.eval(t, `document.getElementById("picture").src`)
	for _, status := range []int{http.StatusUnauthorized, http.StatusForbidden} {
		s.refusal.Store(&refusal{status: status})
		s.enter(t, pageWidth, "121")
		s.read(t, "does not know this site. Please tell the workshop")
		if got := s.eval(t, told); strings.Contains(got, "try again") {
			t.Errorf("%d: visitors are told %q", status, got)
		}
		s.pictured(t, picture)
		s.refusal.Store(nil)
		s.enter(t, pageWidth, "122")
		s.wait(t, recovered)
		picture = s.eval(t, `document.getElementById("picture").src`)
	}

	offline := func(yes bool) {
		send(t, s.window, network.EmulateNetworkConditionsByRule, network.EmulateNetworkConditionsByRuleParams{
			MatchedNetworkConditions: []*network.Conditions{{Offline: yes, DownloadThroughput: -1, UploadThroughput: -1}}})
		send(t, s.window, network.OverrideNetworkState, network.OverrideNetworkStateParams{Offline: yes, DownloadThroughput: -1, UploadThroughput: -1})
	}
	offline(true)
	s.enter(t, pageWidth, "123")
	s.read(t, "You are offline")
	s.pictured(t, picture)
	offline(false)
	s.wait(t, recovered+` && document.getElementById("picture").src !== "`+picture+`"`)
}

// The service itself lets the page read that its address has asked for too much.
func TestExampleSiteOverTheAllowance(t *testing.T) {
	s := exampleSiteOf(t, true, Config{AddressRate: 200})
	s.open(t, "/")
	s.wait(t, recovered)
	picture := s.eval(t, `document.getElementById("picture").src`)
	for status := 0; status != http.StatusTooManyRequests; { // the clock of the service stands still
		answer, err := http.Get(s.service + "/v1/mechanisms")
		if err != nil {
			t.Fatal(err)
		}
		status = answer.StatusCode
		_ = answer.Body.Close()
	}
	s.enter(t, pageWidth, "121")
	s.read(t, "much in a short time")
	s.pictured(t, picture)
}
