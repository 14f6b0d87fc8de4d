package api

import (
	"bytes"
	"compress/gzip"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

func fetchAs(t *testing.T, s *Server, method, path, encoding string, headers ...string) *httptest.ResponseRecorder {
	t.Helper()
	r := httptest.NewRequest(method, path, nil)
	if encoding != "" {
		r.Header.Set("Accept-Encoding", encoding)
	}
	for i := 0; i < len(headers); i += 2 {
		r.Header.Set(headers[i], headers[i+1])
	}
	w := httptest.NewRecorder()
	s.Handler().ServeHTTP(w, r)
	return w
}

func unzip(t *testing.T, w *httptest.ResponseRecorder) []byte {
	t.Helper()
	z, err := gzip.NewReader(w.Body)
	if err != nil {
		t.Fatal(err)
	}
	plain, err := io.ReadAll(z)
	if err != nil {
		t.Fatal(err)
	}
	return plain
}

func TestCompression(t *testing.T) {
	s := newServer(t)
	for path, compressed := range map[string]bool{
		"/v1/examples/harbour/solve":                true,
		"/v1/examples/harbour/view.svg":             true,
		"/v1/examples/harbour/pattern.dxf":          true,
		"/v1/examples/harbour/model.glb":            true,
		"/v1/examples/harbour/curves.csv?steps=181": true,
		"/v1/mechanisms":                            true, // written by the generated code
		"/openapi.json":                             true,
		"/docs":                                     true,
		"/metrics":                                  true,
		"/v1/examples/harbour/view.png":             false, // compressed already
		"/healthz":                                  false, // tiny
		"/nothing":                                  false,
	} {
		plain := fetchAs(t, s, http.MethodGet, path, "")
		w := fetchAs(t, s, http.MethodGet, path, "br, gzip;q=0.8")
		for _, answer := range []*httptest.ResponseRecorder{plain, w} {
			if !strings.Contains(answer.Header().Get("Vary"), "Accept-Encoding") {
				t.Errorf("%s: Vary %s", path, answer.Header().Get("Vary"))
			}
		}
		if got := w.Header().Get("Content-Encoding"); (got == "gzip") != compressed || plain.Header().Get("Content-Encoding") != "" {
			t.Errorf("%s: Content-Encoding %q, %d bytes", path, got, plain.Body.Len())
			continue
		}
		if !compressed {
			continue
		}
		if w.Body.Len() >= plain.Body.Len() || w.Header().Get("Content-Length") != "" {
			t.Errorf("%s: %d bytes of %d, Content-Length %q", path, w.Body.Len(), plain.Body.Len(), w.Header().Get("Content-Length"))
		}
		if got := unzip(t, w); !bytes.Equal(got, plain.Body.Bytes()) && path != "/metrics" { // which count this request
			t.Errorf("%s: another answer", path)
		}
		if tag := plain.Header().Get("ETag"); tag != "" && w.Header().Get("ETag") != strings.TrimSuffix(tag, `"`)+`-gzip"` {
			t.Errorf("%s: ETag %s, plain %s", path, w.Header().Get("ETag"), tag)
		}
	}
}

// A tag of either encoding is good for both, and a 304 repeats the one that the
// client holds (RFC 9110, section 15.4.5).
func TestCompressedTags(t *testing.T) {
	s := newServer(t)
	const path = "/v1/examples/harbour"
	plain := fetchAs(t, s, http.MethodGet, path, "").Header().Get("ETag")
	zipped := fetchAs(t, s, http.MethodGet, path, "gzip").Header().Get("ETag")
	for _, held := range []string{plain, zipped} {
		for _, encoding := range []string{"", "gzip"} {
			w := fetchAs(t, s, http.MethodGet, path, encoding, "If-None-Match", `"other", `+held)
			if w.Code != http.StatusNotModified || w.Header().Get("ETag") != held || w.Body.Len() > 0 || w.Header().Get("Content-Encoding") != "" {
				t.Errorf("held %s, accepts %q: %d %v", held, encoding, w.Code, w.Header())
			}
		}
	}
	if w := fetchAs(t, s, http.MethodHead, path, "gzip"); w.Code != http.StatusOK || w.Header().Get("Content-Encoding") != "gzip" || w.Header().Get("ETag") != zipped {
		t.Errorf("HEAD: %d %v", w.Code, w.Header())
	}
	raw := exampleDocument(t, "harbour").Raw
	stored := post(t, s, "/v1/designs", string(raw)).Header().Get("Location")
	tag := fetchAs(t, s, http.MethodGet, stored, "gzip").Header().Get("ETag")
	if !strings.HasSuffix(tag, `-gzip"`) {
		t.Fatalf("ETag %s", tag)
	}
	change := func(tag string) int {
		r := httptest.NewRequest(http.MethodPatch, stored, strings.NewReader(`{"title":"Harbour at night"}`))
		r.Header.Set("Content-Type", "application/merge-patch+json")
		r.Header.Set("If-Match", tag)
		return call(t, s, r).Code
	}
	if code := change(`W/` + tag); code != http.StatusPreconditionFailed {
		t.Errorf("a weak tag: %d", code)
	}
	if code := change(tag); code != http.StatusOK {
		t.Errorf("the tag of the compressed answer: %d", code)
	}
	if code := change(tag); code != http.StatusPreconditionFailed {
		t.Errorf("the same again: %d", code)
	}
}

// Expected by the rules of RFC 9110, section 12.5.3.
func TestAcceptsGzip(t *testing.T) {
	for header, want := range map[string]bool{
		"": false, "gzip": true, "GZIP": true, "x-gzip": true, "br, gzip": true, "br": false, "identity": false,
		"*": true, "*;q=0": false, "gzip;q=0": false, "gzip;q=0.000": false, "gzip;q=0.001": true, "gzip; q=0, *": false,
		"*;q=0, gzip;q=0.5": true, "deflate;q=1, gzip;q=0.1": true, ";": false, "gzip;q=": true,
	} {
		if got := acceptsGzip([]string{header}); got != want {
			t.Errorf("%q: %v", header, got)
		}
	}
}

func BenchmarkCompression(b *testing.B) {
	s := newServer(b)
	for _, path := range []string{"/v1/examples/harbour/solve", "/v1/examples/harbour/view.svg?animated=true", "/v1/examples/harbour/model.glb"} {
		r := httptest.NewRequest(http.MethodGet, path, nil)
		w := httptest.NewRecorder()
		s.Handler().ServeHTTP(w, r)
		body := w.Body.Bytes()
		for _, level := range []int{gzip.BestSpeed, gzip.DefaultCompression} {
			b.Run(path+map[int]string{1: " fastest", -1: " default"}[level], func(b *testing.B) {
				z, err := gzip.NewWriterLevel(io.Discard, level)
				if err != nil {
					b.Fatal(err)
				}
				var out bytes.Buffer
				for b.Loop() {
					out.Reset()
					z.Reset(&out)
					_, _ = z.Write(body)
					_ = z.Close()
				}
				b.SetBytes(int64(len(body)))
				b.ReportMetric(float64(out.Len())/float64(len(body)), "size")
			})
		}
	}
}
