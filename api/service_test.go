package api

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"regexp"
	"sort"
	"strings"
	"sync"
	"testing"

	"foldwright/openapi"
	"foldwright/storage"
	"foldwright/storage/sqlite"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/getkin/kin-openapi/routers"
)

// newStore is an empty store in a file of the test's own.
func newStore(t testing.TB) storage.Database {
	t.Helper()
	store, err := sqlite.Open(t.Context(), filepath.Join(t.TempDir(), "designs.db"), storage.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := store.Close(); err != nil {
			t.Error(err)
		}
	})
	return store
}

// newServer is a server on a store of its own.
func newServer(t testing.TB) *Server {
	t.Helper()
	return serverWith(t, Config{Store: newStore(t), Release: "test"})
}

// serverWith takes the host of httptest's requests for this machine.
func serverWith(t testing.TB, config Config) *Server {
	t.Helper()
	s, err := New(config)
	if err != nil {
		t.Fatal(err)
	}
	s.ownName = "example.com"
	return s
}

// call sends one request and holds it and its answer to the contract.
func call(t testing.TB, s *Server, r *http.Request) *httptest.ResponseRecorder {
	t.Helper()
	var body []byte
	if r.Body != nil {
		var err error
		if body, err = io.ReadAll(r.Body); err != nil {
			t.Fatal(err)
		}
		r.Body = io.NopCloser(bytes.NewReader(body))
	}
	w := httptest.NewRecorder()
	s.Handler().ServeHTTP(w, r)
	contract(t).hold(t, r, body, w)
	return w
}

func get(t testing.TB, s *Server, path string) *httptest.ResponseRecorder {
	t.Helper()
	return call(t, s, httptest.NewRequest(http.MethodGet, path, nil))
}

func post(t testing.TB, s *Server, path, body string) *httptest.ResponseRecorder {
	t.Helper()
	r := httptest.NewRequest(http.MethodPost, path, strings.NewReader(body))
	r.Header.Set("Content-Type", MediaJSON)
	return call(t, s, r)
}

func decode(t testing.TB, w *httptest.ResponseRecorder, into any) {
	t.Helper()
	dec := json.NewDecoder(bytes.NewReader(w.Body.Bytes()))
	dec.DisallowUnknownFields()
	if err := dec.Decode(into); err != nil {
		t.Fatalf("%v in %s", err, w.Body)
	}
}

// fullContract is the whole document, the design schema included, with its own
// way of finding an operation, independent of the server's router.
type fullContract struct {
	routes []contractRoute
}

type contractRoute struct {
	pattern *regexp.Regexp
	names   []string
	item    *openapi3.PathItem
	doc     *openapi3.T
	path    string
}

var loadContract = sync.OnceValues(func() (*fullContract, error) {
	doc, err := openapi.Load()
	if err != nil {
		return nil, err
	}
	for _, media := range []string{MediaSVG, MediaDXF, MediaPNG, MediaGLB, MediaHTML, MediaEvents} {
		openapi3filter.RegisterBodyDecoder(media, openapi3filter.FileBodyDecoder)
	}
	c := &fullContract{}
	parameter := regexp.MustCompile(`\{(\w+)\}`)
	for path, item := range doc.Paths.Map() {
		r := contractRoute{item: item, doc: doc, path: path}
		for _, m := range parameter.FindAllStringSubmatch(path, -1) {
			r.names = append(r.names, m[1])
		}
		literal := regexp.MustCompile(`\\\{\w+\\\}`).ReplaceAllString(regexp.QuoteMeta(path), `([^/]+)`)
		r.pattern = regexp.MustCompile("^" + literal + "$")
		c.routes = append(c.routes, r)
	}
	sort.Slice(c.routes, func(i, j int) bool { return len(c.routes[i].names) < len(c.routes[j].names) })
	return c, nil
})

func contract(t testing.TB) *fullContract {
	t.Helper()
	c, err := loadContract()
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func (c *fullContract) find(r *http.Request) (*routers.Route, map[string]string) {
	method := r.Method
	if method == http.MethodHead {
		method = http.MethodGet
	}
	for _, route := range c.routes {
		m := route.pattern.FindStringSubmatch(r.URL.Path)
		if m == nil || route.item.GetOperation(method) == nil {
			continue
		}
		params := map[string]string{}
		for i, name := range route.names {
			params[name] = m[i+1]
		}
		return &routers.Route{Spec: route.doc, Path: route.path, PathItem: route.item, Method: method, Operation: route.item.GetOperation(method)}, params
	}
	return nil, nil
}

// inInches tells whether a document is in inches, whose numbers the ranges of
// the contract do not fit.
var inInches = regexp.MustCompile(`"units"\s*:\s*"in"`)

// hold checks that what was answered well was asked well, and that every answer
// is one the contract describes.
func (c *fullContract) hold(t testing.TB, r *http.Request, body []byte, w *httptest.ResponseRecorder) {
	t.Helper()
	if got := w.Header().Get(requestIDHeader); !requestIDRule.MatchString(got) {
		t.Errorf("%s %s: the request id is %q", r.Method, r.URL, got)
	}
	if w.Code >= http.StatusInternalServerError && w.Code != http.StatusServiceUnavailable {
		t.Errorf("%s %s: %d %s", r.Method, r.URL, w.Code, w.Body)
	}
	route, params := c.find(r)
	if route == nil {
		return // the router's own 404 and 405
	}
	r = r.Clone(t.Context())
	r.Body = io.NopCloser(bytes.NewReader(body))
	input := &openapi3filter.RequestValidationInput{Request: r, PathParams: params, Route: route,
		Options: &openapi3filter.Options{IncludeResponseStatus: true, SkipSettingDefaults: true, AuthenticationFunc: openapi3filter.NoopAuthenticationFunc}}
	if w.Code < 400 && !inInches.Match(body) {
		if err := openapi3filter.ValidateRequest(t.Context(), input); err != nil {
			t.Errorf("%s %s was answered %d but is not what the contract allows: %v", r.Method, r.URL, w.Code, err)
		}
	}
	if r.Method == http.MethodHead || inInches.Match(w.Body.Bytes()) && strings.Contains(w.Body.String(), `"spread"`) {
		return
	}
	err := openapi3filter.ValidateResponse(t.Context(), &openapi3filter.ResponseValidationInput{
		RequestValidationInput: input, Status: w.Code, Header: w.Header(),
		Body: io.NopCloser(bytes.NewReader(w.Body.Bytes())), Options: input.Options,
	})
	if err != nil {
		t.Errorf("%s %s: the contract does not describe the answer %d: %v", r.Method, r.URL, w.Code, err)
	}
}
