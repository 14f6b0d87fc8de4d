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

	"foldwright/solver/model"
	"foldwright/solver/view"
)

// crates is n lidded boxes in one place, every panel of which runs through
// those of the others.
func crates(n int) string {
	list := make([]string, n)
	for i := range list {
		k := float64(i)
		list[i] = fmt.Sprintf(`{"id":"crate%d","kind":"box","on":{"fold":"gutter"},"from":%g,"to":%g,"left_offset":%g,"right_offset":%g,"height":%g,"lid":true}`,
			i, 20+0.3*k, 100+0.37*k, 20+0.21*k, 21+0.23*k, 25+0.19*k)
	}
	return `{"spread":{"page_width":130,"page_height":180},"mechanisms":[` + strings.Join(list, ",") + `]}`
}

// soon is how long work may go on after it was told to end: far longer than it
// does, far shorter than it would.
const soon = 3 * time.Second

// Work that outlasts the time limit ends soon after it, and the client is told
// so in an answer; the service answers others meanwhile.
func TestTimeLimitEndsTheWork(t *testing.T) {
	const limit = 40 * time.Millisecond
	s := serverWith(t, Config{Store: newStore(t), RequestTimeout: limit})
	dense := crates(100) // two seconds of animation, and as many pieces as are drawn
	for name, request := range map[string][2]string{
		"an animation": {"/v1/view", `{"animated":true,"design":` + dense + `}`},
		"a check":      {"/v1/check", `{"design":` + crates(200) + `}`},
		"a pattern":    {"/v1/pattern", `{"design":` + crates(200) + `}`},
		"stages":       {"/v1/view", `{"stages":12,"design":` + dense + `}`},
		"a model":      {"/v1/model", `{"design":` + crates(200) + `}`},
		"a guide":      {"/v1/guide", `{"design":` + crates(200) + `}`},
		"a layout":     {"/v1/layout", `{"copies":200,"effort":20000,"time_limit":15,"design":` + crates(60) + `}`},
		"a fit":        {"/v1/fit", `{"starts":64,"vary":[{"pointer":"/mechanisms/0/height"}],"goals":[{"measure":"height","target":60}],"design":` + crates(100) + `}`},
		"marks":        {"/v1/view", `{"stages":12,"marks":true,"design":` + dense + `}`},
	} {
		start := time.Now()
		answered := make(chan *httptest.ResponseRecorder, 1)
		go func() { answered <- post(t, s, request[0], request[1]) }()
		time.Sleep(limit / 2)
		asked := time.Now()
		if w := get(t, s, "/healthz"); w.Code != http.StatusOK || time.Since(asked) > soon {
			t.Errorf("%s: /healthz answers %d after %v", name, w.Code, time.Since(asked))
		}
		w := <-answered
		var p Problem
		decode(t, w, &p)
		if w.Code != http.StatusServiceUnavailable || p.Type != tookTooLong.address() || !strings.Contains(p.Detail, "fewer mechanisms") {
			t.Errorf("%s: %d %s", name, w.Code, w.Body)
		}
		if took := time.Since(start); took > limit+soon {
			t.Errorf("%s: answered after %v", name, took)
		}
	}
}

// When the client has gone the work ends, and the log does not say that all
// went well.
func TestWorkEndsWithItsClient(t *testing.T) {
	var log bytes.Buffer
	s := serverWith(t, Config{Store: newStore(t), Log: slog.New(slog.NewJSONHandler(&log, nil))})
	ctx, leave := context.WithCancel(t.Context())
	time.AfterFunc(100*time.Millisecond, leave)
	r := httptest.NewRequestWithContext(ctx, http.MethodPost, "/v1/view", strings.NewReader(`{"animated":true,"design":`+crates(100)+`}`))
	r.Header.Set("Content-Type", MediaJSON)
	w := httptest.NewRecorder()
	start := time.Now()
	s.Handler().ServeHTTP(w, r)
	if took := time.Since(start); took > 100*time.Millisecond+soon {
		t.Errorf("worked for %v", took)
	}
	if w.Body.Len() > 0 {
		t.Errorf("answered %s", w.Body)
	}
	var line struct {
		Status int
		Level  string
	}
	if err := json.Unmarshal(log.Bytes(), &line); err != nil || line.Status != statusClientGone || line.Level != "INFO" {
		t.Errorf("%v: logged %s", err, log.Bytes())
	}
}

// A design that no time would be enough for is refused at once, and told from
// one that took too long.
func TestTooComplex(t *testing.T) {
	s := newServer(t)
	start := time.Now()
	w := post(t, s, "/v1/view", `{"opening":100,"design":`+crates(200)+`}`)
	var p Problem
	decode(t, w, &p)
	if w.Code != http.StatusUnprocessableEntity || p.Type != tooComplex.address() || !strings.Contains(p.Detail, "fewer mechanisms") {
		t.Errorf("%d %s", w.Code, w.Body)
	}
	if took := time.Since(start); took > 10*time.Second {
		t.Errorf("refused after %v", took)
	}
	for _, err := range []error{view.ErrTangled, &model.PanelError{Panel: "quay.left", Err: errors.New("crossed")}} {
		if f := interpret(fmt.Errorf("somewhere: %w", err)); f.kind != tooComplex || strings.Contains(f.detail, "crossed") {
			t.Errorf("%v is answered as %s: %s", err, f.kind.name, f.detail)
		}
	}
}
