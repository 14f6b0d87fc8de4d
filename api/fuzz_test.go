package api

import (
	"bytes"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"net/url"
	"os"
	"strings"
	"testing"
	"unicode/utf8"

	"foldwright/testdata/designs"

	"pgregory.net/rapid"
)

// answered sends a request without holding the answer to the contract, which
// would take nearly all of a fuzz target's time.
func answered(t *testing.T, s *Server, method, path, contentType, accept, body string) {
	t.Helper()
	r := httptest.NewRequest(method, path, strings.NewReader(body))
	r.Header.Set("Content-Type", contentType)
	r.Header.Set("Accept", accept)
	r.Header.Set("If-Match", "*")
	w := httptest.NewRecorder()
	s.Handler().ServeHTTP(w, r)
	if w.Code >= http.StatusInternalServerError {
		t.Errorf("%s %s: %d %s", method, path, w.Code, w.Body)
	}
}

// Whatever is posted, the service answers, and never that it failed. The decoder
// of designs has a fuzz target of its own.
func FuzzPostedBody(f *testing.F) {
	for _, name := range designs.Names() {
		raw, _ := designs.Read(name)
		f.Add(`{"design":` + string(raw) + `,"openings":[0,90]}`)
	}
	for _, body := range []string{
		``, `{`, `null`, `[]`, `{"design":{}}`, `{"design":null,"design":null}`, `{"design":{"spread":{"page_width":1e999}}}`,
		`{"design":{"spread":{"page_width":130,"page_height":180}},"sweep":{"from":180,"to":0,"steps":3}}`,
		`{"example":"harbour_office","drivers":{"door.angle":90},"opening":90,"labels":true,"marks":true,"width":64}`,
		`{"example":"harbour_office","sweep":{"driver":"boat.pull","steps":3},"measures":["height"],"opening":90}`,
		`{"example":"harbour_office","from":0,"to":90,"seconds":2,"drivers":{"boat.pull":25}}`,
		`{"example":"quay","vary":[{"pointer":"/mechanisms/0/left/panel_width","step":0.5,"min":30}],"goals":[{"measure":"height.quay","opening":90,"at_least":60,"weight":2}],"keep":{"inset":3,"symmetric":true},"starts":2}`,
		`{"example":"harbour_office","vary":[{"pointer":"/mechanisms/0/place/u"}],"measurements":[{"measure":"height.door.flap","drivers":{"door.angle":40},"value":20,"uncertainty":1}],"starts":1}`,
		`{"example":"crate","copies":3,"tools":["laser","hot_glue"],"pictures":false}`,
		`{"design":{"units":"in","spread":{"page_width":5,"page_height":7}},"label_height":0.1,"part_spacing":0}`,
		"{\"design\":{\"title\":\"\\ud800\",\"spread\":{\"page_width\":130,\"page_height\":180}}}",
	} {
		f.Add(body)
	}
	s := newServer(f)
	f.Fuzz(func(t *testing.T, body string) {
		for _, path := range []string{"/v1/solve", "/v1/check", "/v1/pattern", "/v1/view", "/v1/curves", "/v1/fit", "/v1/model", "/v1/guide"} {
			answered(t, s, http.MethodPost, path, MediaJSON, "*/*", body)
		}
		answered(t, s, http.MethodPost, "/v1/pattern", MediaJSON, MediaSVG, body)
		answered(t, s, http.MethodPost, "/v1/pattern", MediaJSON, MediaDXF, body)
		answered(t, s, http.MethodPost, "/v1/curves", MediaJSON, MediaCSV, body)
		answered(t, s, http.MethodPost, "/v1/curves", MediaJSON, MediaSVG, body)
		answered(t, s, http.MethodPost, "/v1/guide", MediaJSON, MediaHTML, body)
		answered(t, s, http.MethodPost, "/v1/guide", MediaJSON, MediaPDF, body)
	})
}

// What a job is refused for, its operation is refused for in the same words.
func FuzzJob(f *testing.F) {
	for _, body := range []string{
		`{}`, `[]`, `null`, `{"design":{}}`, `{"design":7,"design":7}`, `{"example":"gull"}`, `{"example":"quay","gull":[[[]]]}`,
		`{"example":"quay","vary":[{"pointer":"/mechanisms/9/at"}],"goals":[{"measure":"height.pier","target":60}]}`,
		`{"example":"quay","axes":[{"pointer":"/mechanisms/0/left/panel_width","from":-5,"to":1e9,"steps":3}]}`,
		`{"example":"quay","measures":[{"measure":"height","at_least":3,"at_most":1}],"samples":0}`,
		`{"example":"quay","copies":1e400,"parts":[{"part":"pier"}],"stocks":[{"width":3}]}`,
		`{"design":{"title":"\ud800","spread":{"page_width":130,"page_height":180}}}`,
	} {
		f.Add(body)
	}
	s := newServer(f)
	f.Fuzz(func(t *testing.T, body string) {
		if !json.Valid([]byte(body)) || !utf8.ValidString(body) {
			return // it would not stay where it is put
		}
		for operation := range jobWork {
			var job, own Problem
			w := post(t, s, "/v1/jobs", `{"operation":"`+string(operation)+`","request":`+body+`}`)
			if w.Code < 400 || w.Code == http.StatusForbidden { // accepted, or full
				continue
			}
			decode(t, w, &job)
			decode(t, post(t, s, "/v1/"+string(operation), body), &own)
			if job.Type != own.Type || job.Errors == nil || own.Errors == nil || len(*job.Errors) != len(*own.Errors) {
				t.Fatalf("%s %s: the job is refused for\n%+v, %+v, the operation for\n%+v, %+v", operation, body, job, job.Errors, own, own.Errors)
			}
			for i, e := range *own.Errors {
				e.Pointer = "/request" + e.Pointer
				if (*job.Errors)[i] != e {
					t.Errorf("%s %s: the job is refused for %+v, the operation for %+v", operation, body, (*job.Errors)[i], e)
				}
			}
		}
	})
}

func FuzzPatch(f *testing.F) {
	for _, patch := range []string{`{}`, `{"title":null}`, `{"spread":{"page_width":150}}`, `{"mechanisms":[null]}`, `[]`, `{"a":{"b":null}}`, `{"title":"\u0000"}`} {
		f.Add(patch)
	}
	s := newServer(f)
	tent, err := os.ReadFile("../testdata/designs/quay.json")
	if err != nil {
		f.Fatal(err)
	}
	location := post(f, s, "/v1/designs", string(tent)).Header().Get("Location")
	f.Fuzz(func(t *testing.T, patch string) {
		answered(t, s, http.MethodPatch, location, "application/merge-patch+json", "*/*", patch)
	})
}

func FuzzHeaders(f *testing.F) {
	f.Add(`"1-abc"`, `text/html, */*;q=0.1`, "limit=5&q=quay", "application/json")
	f.Add(`W/"1-abc", *`, `;;q=`, "cursor=%00", "application/json; charset=latin1")
	f.Add(`"`, ``, "openings=0,,1", ";")
	f.Add(`*`, `image/png`, "driver=door.angle:90&width=64&stages=3&moves=boat.pull&background=%23fff", "application/json")
	f.Add(`*`, `text/csv;q=0.5, image/svg+xml;q=0.4`, "sweep=door.angle&steps=4&opening=170&measures=height,fold.door.hinge", "application/json")
	s := newServer(f)
	f.Fuzz(func(t *testing.T, tags, accept, query, contentType string) {
		for _, path := range []string{
			"/", "/v1/designs", "/v1/designs/x/versions/1/pattern", "/v1/examples/harbour_office/solve", "/v1/examples/harbour_office/view",
			"/v1/examples/harbour_office/curves", "/v1/examples/harbour_office/model.glb", "/v1/examples/quay/embed", "/v1/examples/quay/guide",
		} {
			r := httptest.NewRequest(http.MethodGet, path, nil)
			r.URL.RawQuery = query
			r.Header.Set("If-None-Match", tags)
			r.Header.Set("Accept", accept)
			if w := call(t, s, r); w.Code >= 500 {
				t.Errorf("%s: %d %s", path, w.Code, w.Body)
			}
		}
		r := httptest.NewRequest(http.MethodPut, "/v1/designs/x", strings.NewReader("{}"))
		r.Header.Set("If-Match", tags)
		r.Header.Set("Content-Type", contentType)
		if w := call(t, s, r); w.Code >= 500 {
			t.Errorf("put: %d %s", w.Code, w.Body)
		}
	})
}

// Whatever is sent to prove who asks, the service answers; and it lists no
// designs for who has no key.
func FuzzCredentials(f *testing.F) {
	f.Add("Bearer foldwright_key_AAAAAAAAAAAAAAAAAAAAAAAAAA", "https://workshop.example", "foldwright_share_AAAAAAAAAAAAAAAAAAAAAAAAAA", "gzip", "127.0.0.1:8080", "192.0.2.1")
	f.Add("bearer  foldwright_browser_", "null", "", "*;q=0, gzip;q=1.", "[::1]", "a, b,,")
	f.Add("Basic cXVheTpxdWF5", "*", "\x00", ";q=,", "localhost", "::ffff:1.2.3.4")
	f.Add("Bearer", "http://[::1", "%", "gzip,gzip;q=0", ":", "")
	store := newStore(f)
	s, err := New(Config{Store: store, KeysRequired: true, TrustedProxies: []netip.Prefix{netip.MustParsePrefix("192.0.2.0/24")}})
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, authorization, origin, share, encoding, host, forwarded string) {
		for _, row := range []struct {
			method, path string
			open         bool
		}{
			{http.MethodGet, "/v1/designs", false}, {http.MethodGet, "/v1/designs/x/versions/1", false}, {http.MethodGet, "/v1/examples/quay", true},
			{http.MethodOptions, "/v1/designs", true},
		} {
			r := httptest.NewRequest(row.method, row.path, nil)
			r.Host = host
			r.URL.RawQuery = url.Values{shareParameter: {share}}.Encode()
			for name, value := range map[string]string{
				"Authorization": authorization, "Origin": origin, "Accept-Encoding": encoding, "X-Forwarded-For": forwarded, headerRequestMethod: http.MethodPut,
			} {
				r.Header.Set(name, value)
			}
			w := httptest.NewRecorder()
			s.Handler().ServeHTTP(w, r)
			if w.Code >= 500 || !row.open && w.Code < 400 {
				t.Errorf("%s %s: %d %s", row.method, row.path, w.Code, w.Body)
			}
		}
	})
}

func FuzzEntityTags(f *testing.F) {
	for _, header := range []string{`*`, `"a"`, `W/"a" , "b"`, `"a`, `a`, ``, `"",""`, `W/`} {
		f.Add(header)
	}
	f.Fuzz(func(t *testing.T, header string) {
		tags, star, err := parseTags(header)
		if err != nil || star {
			return
		}
		texts := []string{}
		for _, tag := range tags {
			texts = append(texts, tag.String())
		}
		again, _, err := parseTags(strings.Join(texts, ", "))
		if err != nil || len(again) != len(tags) {
			t.Fatalf("%q reads as %v, which does not read back", header, texts)
		}
	})
}

// Nothing a valid design holds makes the service fail: the examples with some
// measurements changed are solved, checked and drawn.
func TestChangedExamplesAreAnswered(t *testing.T) {
	s := newServer(t)
	rapid.Check(t, func(r *rapid.T) {
		raw, _ := designs.Read(rapid.SampledFrom(designs.Names()).Draw(r, "example"))
		root := asValue(t, raw)
		for range rapid.IntRange(1, 3).Draw(r, "changes") {
			mutate(r, root)
		}
		changed, err := json.Marshal(map[string]any{"design": root})
		if err != nil {
			r.Fatal(err)
		}
		for _, row := range [][2]string{
			{"/v1/solve", MediaJSON}, {"/v1/pattern", MediaJSON}, {"/v1/pattern", MediaSVG}, {"/v1/pattern", MediaDXF},
			{"/v1/view", MediaSVG}, {"/v1/curves", MediaJSON}, {"/v1/curves", MediaSVG}, {"/v1/model", MediaGLB},
			{"/v1/guide", MediaJSON}, {"/v1/guide", MediaHTML}, {"/v1/guide", MediaPDF},
		} {
			q := httptest.NewRequest(http.MethodPost, row[0], bytes.NewReader(changed))
			q.Header.Set("Content-Type", MediaJSON)
			q.Header.Set("Accept", row[1])
			w := httptest.NewRecorder()
			s.Handler().ServeHTTP(w, q)
			if w.Code >= http.StatusInternalServerError {
				r.Fatalf("%s as %s: %d %s for %s", row[0], row[1], w.Code, w.Body, changed)
			}
		}
	})
}
