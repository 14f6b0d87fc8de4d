package api

import (
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"testing"

	"foldwright/testdata/designs"
)

// Whatever is posted, the service answers, and never that it failed. The decoder
// of designs has a fuzz target of its own.
func FuzzPostedBody(f *testing.F) {
	for _, name := range designs.Names() {
		raw, _ := designs.Read(name)
		f.Add(`{"design":` + string(raw) + `,"openings":[0,90,180]}`)
		f.Add(`{"design":` + string(raw) + `}`)
	}
	for _, body := range []string{
		``, `{`, `null`, `[]`, `{"design":{}}`, `{"design":null,"design":null}`, `{"design":{"spread":{"page_width":1e999}}}`,
		`{"design":{"spread":{"page_width":130,"page_height":180}},"sweep":{"from":180,"to":0,"steps":721}}`,
		`{"design":{"units":"in","spread":{"page_width":5,"page_height":7}},"label_height":0.1,"part_spacing":0}`,
		"{\"design\":{\"title\":\"\\ud800\",\"spread\":{\"page_width\":130,\"page_height\":180}}}",
	} {
		f.Add(body)
	}
	s := newServer(f)
	f.Fuzz(func(t *testing.T, body string) {
		for _, path := range []string{"/v1/solve", "/v1/check", "/v1/pattern"} {
			if w := post(t, s, path, body); w.Code >= 500 {
				t.Errorf("%s: %d %s", path, w.Code, w.Body)
			}
		}
		r := httptest.NewRequest(http.MethodPost, "/v1/pattern", strings.NewReader(body))
		r.Header.Set("Content-Type", MediaJSON)
		r.Header.Set("Accept", MediaSVG)
		if w := call(t, s, r); w.Code >= 500 {
			t.Errorf("drawing: %d %s", w.Code, w.Body)
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
		r := httptest.NewRequest(http.MethodPatch, location, strings.NewReader(patch))
		r.Header.Set("Content-Type", "application/merge-patch+json")
		r.Header.Set("If-Match", "*")
		if w := call(t, s, r); w.Code >= 500 {
			t.Errorf("%d %s", w.Code, w.Body)
		}
	})
}

func FuzzHeaders(f *testing.F) {
	f.Add(`"1-abc"`, `text/html, */*;q=0.1`, "limit=5&q=quay", "application/json")
	f.Add(`W/"1-abc", *`, `;;q=`, "cursor=%00", "application/json; charset=latin1")
	f.Add(`"`, ``, "openings=0,,1", ";")
	s := newServer(f)
	f.Fuzz(func(t *testing.T, tags, accept, query, contentType string) {
		for _, path := range []string{"/v1/designs", "/v1/examples/quay/solve", "/v1/designs/x/versions/1/pattern"} {
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
