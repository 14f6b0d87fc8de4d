package api

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/storage"
	"foldwright/storage/access"
	"foldwright/testdata/designs"

	"github.com/getkin/kin-openapi/openapi3"
)

// walker makes requests for one operation.
type walker struct {
	*harbour
	values
	op      *operation
	berth   berth
	stored  []string    // designs to read
	mooring *sync.Mutex // held while a job is made
}

// walkRequest is a request as it is sent.
type walkRequest struct {
	op     *operation
	method string
	target string
	header http.Header
	body   []byte
	role   role
	// ours is whether method and path are those of the operation.
	ours bool
	// patience is how long its client waits; 0 for until it must have come.
	patience time.Duration
}

func (q *walkRequest) name() string { return q.method + " " + q.target }

// moor makes the walker things of its own to change.
func (w *walker) moor(t *testing.T) {
	t.Helper()
	w.berth = w.harbour.berth(t)
	if strings.Contains(w.op.route.Path, "{job}") {
		w.mooring.Lock()
		w.berth.job = doneJob(t, w.store, "quay")
		w.mooring.Unlock()
	}
	if strings.Contains(w.op.route.Path, "{key}") {
		w.berth.key = w.idleKey(t)
	}
	if w.stored == nil {
		w.stored = []string{w.berth.id, w.storeExample(t), w.storeExample(t), w.storeExample(t)}
	}
}

func (w *walker) idleKey(t *testing.T) string {
	t.Helper()
	k, err := w.store.In("quay").AddKey(t.Context(), storage.NewKey{Scope: access.Read, Hash: access.NewSecret(access.KeySecret)})
	if err != nil {
		t.Fatal(err)
	}
	return k.ID
}

// storeExample stores one of the examples and a version of it in which only
// something is said otherwise.
func (w *walker) storeExample(t *testing.T) string {
	t.Helper()
	raw, _ := designs.Read(pick(w.values, designs.Names()))
	v := storage.NewVersion{Title: "Harbour", Tags: []string{"sea"}, Document: raw, Hash: hashOf(raw)}
	d, _, _, err := w.store.In("quay").Create(t.Context(), v, storage.IdempotencyKey{})
	if err == nil {
		v.Title = "Harbour by night"
		_, _, _, err = w.store.In("quay").AddVersion(t.Context(), d.ID, 1, v, storage.IdempotencyKey{})
	}
	if err != nil {
		t.Fatal(err)
	}
	return d.ID
}

// request draws the next request. Half of them are as good as the contract
// can tell; the others have one or two things wrong.
func (w *walker) request(t *testing.T) *walkRequest {
	t.Helper()
	q := &walkRequest{op: w.op, method: w.op.route.Method, header: http.Header{}, role: w.role(), ours: true}
	path, query := w.path(), w.query()
	if w.op.bodies != nil {
		q.header.Set("Content-Type", pick(w.values, w.op.bodies))
		q.body = w.body(t)
	}
	w.headers(q.header)
	if len(w.op.offers) > 0 && w.chance(2) {
		q.header.Set("Accept", pick(w.values, w.op.offers))
	}
	if q.method == http.MethodGet && w.chance(8) {
		q.method = http.MethodHead
	}
	if w.chance(2) {
		for range 1 + w.IntN(2) {
			path = w.breakOne(q, path, query)
		}
	}
	w.identify(q, query)
	q.target = path
	if len(query) > 0 {
		q.target += "?" + query.Encode()
	}
	if w.chance(40) {
		q.target += pick(w.values, []string{"?%zz", "?a;b", "?=", "?&&", "?openings=1&openings=2", "?share=", "#quay"})
	}
	return q
}

// role is mostly one that may ask.
func (w *walker) role() role {
	if w.chance(4) {
		return pick(w.values, roles)
	}
	return roles[slices.IndexFunc(roles, func(r role) bool { return r.name == "admin" })]
}

func (w *walker) identify(q *walkRequest, query url.Values) {
	if q.role.key != "" {
		q.header.Set("Authorization", "Bearer "+w.keys[q.role.key])
	}
	if q.role.origin != "" {
		q.header.Set("Origin", q.role.origin)
	}
	if q.role.share != nil {
		query.Set("share", q.role.share(w.harbour, w.berth))
	}
}

// path fills the path with things that are there, as far as they are known.
func (w *walker) path() string { return w.pathWith(nil) }

// pathWith is a path with some of its parameters as given.
func (w *walker) pathWith(given map[string]string) string {
	kinds, codes, problems := []string{}, []string{}, []string{}
	for _, k := range design.Kinds() {
		kinds = append(kinds, string(k.Kind))
	}
	for _, info := range finding.Catalogue() {
		codes = append(codes, string(info.Code))
	}
	for _, k := range problemKinds {
		problems = append(problems, k.name)
	}
	id := w.berth.id
	if w.op.route.Method == http.MethodGet {
		id = pick(w.values, w.stored)
	}
	there := map[string]string{
		"id": id, "n": pick(w.values, []string{"1", "1", "1", "2"}), "job": w.berth.job, "share": w.berth.share, "token": w.berth.token,
		"key": w.berth.key, "kind": pick(w.values, kinds), "code": pick(w.values, codes), "name": pick(w.values, designs.Names()), "problem": pick(w.values, problems),
	}
	maps.Copy(there, given)
	path := w.op.route.Path
	for name, value := range there {
		path = strings.ReplaceAll(path, "{"+name+"}", value)
	}
	for _, p := range w.parameters(openapi3.ParameterInPath) {
		path = strings.ReplaceAll(path, "{"+p.Name+"}", url.PathEscape(inAddress(w.parameter(p))))
	}
	return path
}

// parameters are those of the operation that stand in the query or a header.
func (w *walker) parameters(in string) []*openapi3.Parameter {
	list := []*openapi3.Parameter{}
	for _, group := range []openapi3.Parameters{w.op.route.PathItem.Parameters, w.op.route.Operation.Parameters} {
		for _, p := range group {
			if p.Value.In == in {
				list = append(list, p.Value)
			}
		}
	}
	return list
}

func (w *walker) query() url.Values {
	query := url.Values{}
	list := w.parameters(openapi3.ParameterInQuery)
	for _, p := range list {
		if p.Required || w.chance(2+len(list)/2) { // two or so of many: most do not go together
			query.Set(p.Name, inAddress(w.parameter(p)))
		}
	}
	return query
}

func (w *walker) parameter(p *openapi3.Parameter) any {
	examples := []any{}
	if p.Example != nil {
		examples = append(examples, p.Example)
	}
	for _, name := range slices.Sorted(maps.Keys(p.Examples)) {
		examples = append(examples, p.Examples[name].Value.Value)
	}
	if len(examples) > 0 && w.chance(2) {
		return pick(w.values, examples)
	}
	return w.of(p.Schema.Value, 0)
}

// inAddress writes a value as a parameter, lists with commas.
func inAddress(value any) string {
	if list, ok := value.([]any); ok {
		parts := make([]string, len(list))
		for i := range list {
			parts[i] = inAddress(list[i])
		}
		return strings.Join(parts, ",")
	}
	return fmt.Sprint(value)
}

func (w *walker) headers(header http.Header) {
	for _, p := range w.parameters(openapi3.ParameterInHeader) {
		switch {
		case p.Name == "If-Match":
			header.Set(p.Name, "*")
		case p.Name == "If-None-Match" && w.chance(6):
			header.Set(p.Name, "*")
		case w.chance(4):
			header.Set(p.Name, inAddress(w.parameter(p)))
		}
	}
	if w.chance(3) {
		header.Set("Accept-Encoding", pick(w.values, []string{"gzip", "gzip;q=0", "br, *;q=0.1", "identity"}))
	}
}

// body is one of the contract's examples of it, or drawn from its schema, with
// another design.
func (w *walker) body(t *testing.T) []byte {
	t.Helper()
	if w.op.archive {
		return emptyArchive(t)
	}
	media := w.op.route.Operation.RequestBody.Value.Content[w.op.bodies[0]]
	schema := media.Schema.Value
	var value any
	if w.chance(2) {
		value = media.Examples[pick(w.values, slices.Sorted(maps.Keys(media.Examples)))].Value.Value
	} else {
		value = w.of(schema, 0)
	}
	value = cloned(t, value)
	switch {
	case schema.Properties["spread"] != nil:
		value = w.design(t)
	case schema.Properties[designField] != nil && w.chance(2):
		object := value.(map[string]any)
		delete(object, "example")
		object[designField] = w.design(t)
	case schema.Properties[designField] != nil:
		object := value.(map[string]any)
		delete(object, designField)
		object["example"] = pick(w.values, designs.Names())
	}
	return encoded(t, value)
}

// design is an example, a measurement or two perhaps changed.
func (w *walker) design(t *testing.T) any {
	t.Helper()
	raw, _ := designs.Read(pick(w.values, designs.Names()))
	value := asValue(t, raw)
	for range w.IntN(3) {
		mechanisms, _ := value.(map[string]any)["mechanisms"].([]any)
		if len(mechanisms) > 0 {
			i := w.IntN(len(mechanisms))
			mechanisms[i] = w.spoil(mechanisms[i])
		}
	}
	return value
}

func cloned(t *testing.T, value any) any {
	t.Helper()
	return asValue(t, encoded(t, value))
}

func encoded(t *testing.T, value any) []byte {
	t.Helper()
	raw, err := json.Marshal(value)
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

// breakOne breaks one thing of a request, and returns its path.
func (w *walker) breakOne(q *walkRequest, path string, query url.Values) string {
	switch w.IntN(10) {
	case 0:
		return w.breakPath(q, path)
	case 1:
		w.breakMethod(q)
	case 2, 3:
		w.breakQuery(query)
	case 4, 5:
		w.breakHeader(q)
	default:
		if q.body == nil {
			w.breakQuery(query)
		} else {
			w.breakBody(q)
		}
	}
	return path
}

func (w *walker) breakPath(q *walkRequest, path string) string {
	q.ours = false
	parts := strings.Split(path, "/")
	i := 1 + w.IntN(len(parts)-1)
	parts[i] = pick(w.values, []string{
		"", ".", "..", "%00", "%2e%2e", "%2F", "%ff", "x", "0", "-1", "01", "1.0", "99999999999999999999", "2147483648", "%F0%9F%90%A6", "*", ":id", "{id}",
		strings.Repeat("q", 64), strings.Repeat("q", 5000), parts[i] + ".", parts[i] + "%20", parts[i] + "/", strings.ToUpper(parts[i]), "a+b", "a;b",
	})
	return strings.Join(parts, "/")
}

func (w *walker) breakMethod(q *walkRequest) {
	q.ours = false
	q.method = pick(w.values, []string{
		http.MethodGet, http.MethodPost, http.MethodPut, http.MethodPatch, http.MethodDelete, http.MethodOptions, http.MethodHead, http.MethodTrace, http.MethodConnect, "MOOR", "get",
	})
}

func (w *walker) breakQuery(query url.Values) {
	name := "berth"
	if list := w.parameters(openapi3.ParameterInQuery); len(list) > 0 && !w.chance(6) {
		name = pick(w.values, list).Name
	}
	value := inAddress(w.nasty())
	if w.chance(3) {
		value = pick(w.values, []string{
			"", ",", ",,", "1,", "NaN", "Inf", "-0", "1e400", "0x10", "٣", "1 ", "true,false", "null", "door.angle:90", "door.angle:1e9", "door.angle:", "#fff", strings.Repeat("9", 400),
		})
	}
	if w.chance(6) {
		query.Add(name, query.Get(name)) // twice
	}
	query.Add(name, value)
}

func (w *walker) breakHeader(q *walkRequest) {
	name := pick(w.values, []string{
		"Accept", "Content-Type", "Content-Encoding", "If-Match", "If-None-Match", "Idempotency-Key", "X-Request-Id", "Accept-Encoding", "Origin", "Authorization", "Range", "X-Forwarded-For", "X-Forwarded-Proto", "Host", "Last-Event-ID", "Expect",
	})
	if list := w.parameters(openapi3.ParameterInHeader); len(list) > 0 && w.chance(3) {
		name = pick(w.values, list).Name
	}
	q.header.Set(name, pick(w.values, []string{
		"", " ", "*", "*/*", "*/*;q=0", "text/html", "image/svg+xml;q=0.1, */*;q=0.05", "application/json; charset=latin1", "application/json;;", "multipart/form-data", "APPLICATION/JSON",
		`"`, `"1-abc"`, `W/"1-abc"`, `"a", "b`, `"1-0f3a2b1c4d5e6f70"-gzip`, "gzip", "br", "gzip, gzip;q=0", "null", "https://workshop.example", "Bearer", "Bearer ", "Basic cXVheTpxdWF5",
		"bytes=0-1", "192.0.2.1, 192.0.2.2", "\xff\xfe", "é⛵", strings.Repeat("q", 10000), strings.Repeat(`"q",`, 500), "100-continue", ";q=",
	}))
	if w.chance(5) {
		q.header.Del(name)
	}
}

func (w *walker) breakBody(q *walkRequest) {
	if w.chance(4) {
		q.body = w.breakText(q.body)
		return
	}
	var value any
	if json.Unmarshal(q.body, &value) != nil {
		return // broken already
	}
	if spoilt, err := json.Marshal(w.spoil(value)); err == nil {
		q.body = spoilt
	}
}

// breakText makes a body that is no JSON, or JSON that readers differ over.
func (w *walker) breakText(body []byte) []byte {
	at := w.IntN(len(body) + 1)
	switch w.IntN(9) {
	case 0:
		return body[:at]
	case 1:
		return append(slices.Clone(body[:at]), append([]byte(pick(w.values, []string{"\xff", "\x00", "NaN", "1e999", "\\ud800", "//", "{", "]", "\u2028", "-", ","})), body[at:]...)...)
	case 2:
		return nil
	case 3:
		return append([]byte("\xef\xbb\xbf"), body...)
	case 4:
		return append(slices.Clone(body), body...)
	case 5:
		return []byte(strings.Repeat("[", 100000))
	case 6:
		return bytes.Replace(body, []byte("{"), []byte(`{"design":null,"design":null,`), 1)
	case 7:
		return append(slices.Clone(body), bytes.Repeat([]byte(" "), maxBody)...)
	default:
		return []byte(pick(w.values, []string{"null", "true", "0", `""`, "[]", "{}", `{"":{}}`, `{"design":1e999}`, `{"title":"\ud800"}`, "\x1f\x8b\x08", "a=b&c=d"}))
	}
}
