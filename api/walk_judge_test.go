package api

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"io"
	"maps"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
)

// walkAnswer is what came back.
type walkAnswer struct {
	request *walkRequest
	address *url.URL
	w       *httptest.ResponseRecorder
	took    time.Duration
}

// plain is the answer without its encoding.
func (a *walkAnswer) plain(t *testing.T) *httptest.ResponseRecorder {
	t.Helper()
	body := a.w.Body.Bytes()
	if a.w.Header().Get("Content-Encoding") == "gzip" && a.request.method != http.MethodHead {
		body = unzip(t, &httptest.ResponseRecorder{Body: bytes.NewBuffer(body)})
	}
	plain := httptest.NewRecorder()
	maps.Copy(plain.Header(), a.w.Header())
	plain.Code, plain.Body = a.w.Code, bytes.NewBuffer(body)
	return plain
}

// sent sends the request as a server of HTTP hands it on; what that refuses by
// itself is answered 400 here.
func (q *walkRequest) sent(t *testing.T, h *harbour) *walkAnswer {
	t.Helper()
	a := &walkAnswer{request: q, w: httptest.NewRecorder()}
	address, err := url.ParseRequestURI(strings.ReplaceAll(q.target, "#", "%23"))
	if err != nil {
		a.w.Code = http.StatusBadRequest
		return a
	}
	a.address = address
	ctx, cancel := context.WithTimeout(t.Context(), cmp.Or(q.patience, walkHangs))
	if slices.Contains(q.op.offers, MediaEvents) { // has no end of its own
		ctx, cancel = context.WithTimeout(t.Context(), 50*time.Millisecond)
	}
	defer cancel()
	r := (&http.Request{
		Method: q.method, URL: address, RequestURI: q.target, Host: "example.com", Header: q.header.Clone(), RemoteAddr: "192.0.2.1:1234",
		Proto: "HTTP/1.1", ProtoMajor: 1, ProtoMinor: 1, ContentLength: int64(len(q.body)), Body: io.NopCloser(bytes.NewReader(q.body)),
	}).WithContext(ctx)
	start := time.Now()
	h.Handler().ServeHTTP(a.w, r)
	a.took = time.Since(start)
	if a.took >= walkHangs {
		t.Errorf("took %v: %s", a.took, a.told())
	}
	return a
}

// told is the request as one can send it again, and the start of its answer.
func (a *walkAnswer) told() string {
	q := a.request
	var text strings.Builder
	text.WriteString(q.name() + " as " + q.role.name + "\n")
	for _, name := range slices.Sorted(maps.Keys(q.header)) {
		text.WriteString(shortened(name+": "+strconv.QuoteToASCII(strings.Join(q.header[name], ", ")), 200) + "\n")
	}
	text.WriteString(shortened(string(q.body), 3000) + "\n= " + strconv.Itoa(a.w.Code) + " " + shortened(a.w.Body.String(), 1000))
	return text.String()
}

func shortened(text string, most int) string {
	if len(text) <= most {
		return text
	}
	return text[:most] + "… of " + strconv.Itoa(len(text))
}

// judged holds the answer to the contract.
func (a *walkAnswer) judged(t *testing.T) *walkAnswer {
	t.Helper()
	if a.took == 0 {
		return a
	}
	code := a.w.Code
	if code == http.StatusInternalServerError || code > 599 {
		t.Errorf("failed: %s", a.told())
	}
	a.judgeContract(t)
	if a.request.ours {
		a.judgeAccess(t)
	}
	for status, header := range map[int]string{
		http.StatusUnauthorized: "WWW-Authenticate", http.StatusServiceUnavailable: "Retry-After", http.StatusMethodNotAllowed: "Allow", http.StatusCreated: "Location",
	} {
		if code == status && a.w.Header().Get(header) == "" && a.request.op.route.Operation.Responses.Value("201") == nil {
			t.Errorf("%d without %s: %s", code, header, a.told())
		}
	}
	if a.request.method == http.MethodHead && a.w.Header().Get("Content-Length") == "0" {
		t.Errorf("the length is that of no body: %s", a.told())
	}
	if code >= 400 && a.request.method != http.MethodHead {
		a.judgeProblem(t)
	}
	return a
}

// judgeContract looks at the answer as a client that has the contract does,
// after taking off its encoding.
func (a *walkAnswer) judgeContract(t *testing.T) {
	t.Helper()
	q := a.request
	r := httptest.NewRequest(http.MethodGet, "/", nil)
	r.Method, r.URL, r.Header = q.method, a.address, q.header.Clone()
	route, _ := contract(t).find(r)
	if route == nil || a.w.Code == http.StatusOK && slices.Contains(q.op.offers, MediaEvents) {
		return
	}
	if route.Operation.Responses.Value(strconv.Itoa(a.w.Code)) == nil {
		t.Errorf("not documented for %s: %s", route.Operation.OperationID, a.told())
		return
	}
	before := t.Failed()
	contract(t).hold(t, r, q.body, a.plain(t))
	if t.Failed() && !before {
		t.Log(a.told())
	}
}

// judgeAccess takes no share that is for another version than the first: the
// request may ask for just that one.
func (a *walkAnswer) judgeAccess(t *testing.T) {
	t.Helper()
	if a.request.role.share != nil && strings.Contains(a.request.target, "/versions/2") {
		return
	}
	if want := a.request.role.want(a.request.op); want >= 400 && a.w.Code < 400 {
		t.Errorf("%d must be refused: %s", want, a.told())
	}
}

// judgeProblem holds a problem to RFC 9457 and to the catalogue.
func (a *walkAnswer) judgeProblem(t *testing.T) {
	t.Helper()
	var p Problem
	dec := json.NewDecoder(a.plain(t).Body)
	dec.DisallowUnknownFields()
	if err := dec.Decode(&p); err != nil || a.w.Header().Get("Content-Type") != mediaProblem {
		t.Errorf("no problem document: %v: %s", err, a.told())
		return
	}
	known := slices.IndexFunc(problemKinds, func(k *problemKind) bool { return k.address() == p.Type && k.status == a.w.Code && k.title == p.Title })
	if known < 0 || p.Status != a.w.Code || p.Instance != a.w.Header().Get(requestIDHeader) || p.Detail == "" {
		t.Errorf("type, status, title or instance: %s", a.told())
	}
	if p.Errors == nil {
		return
	}
	for _, e := range *p.Errors {
		if e.Detail == "" || infoOf(e.Code) == nil {
			t.Errorf("%+v is not explained: %s", e, a.told())
		}
		if !a.request.has(e) {
			t.Errorf("%q is no place in the request: %s", e.Pointer, a.told())
		}
	}
}

// has tells whether the place of a fault is in the request, or for what is
// missing, the place around it.
func (q *walkRequest) has(e FieldError) bool {
	tokens := strings.Split(e.Pointer, "/")[1:]
	if e.Pointer == "/query" {
		return q.method == http.MethodGet || strings.Contains(q.target, "?")
	}
	if len(tokens) == 2 && slices.Contains([]string{"query", "path", "header"}, tokens[0]) && !bytes.Contains(q.body, []byte(`"`+tokens[0]+`"`)) {
		return e.Code == Missing || q.hasParameter(tokens[0], unescaped(tokens[1]))
	}
	if q.op.route.Method == http.MethodPatch {
		return true // the place is one of the design that comes of the patch
	}
	if e.Code == Missing {
		tokens = tokens[:max(0, len(tokens)-1)]
	}
	var value any
	dec := json.NewDecoder(bytes.NewReader(q.body))
	dec.UseNumber()
	if dec.Decode(&value) != nil {
		return true // there is no whole value to look in
	}
	for _, token := range tokens {
		switch in := value.(type) {
		case map[string]any:
			inner, ok := in[unescaped(token)]
			if !ok {
				return false
			}
			value = inner
		case []any:
			i, err := strconv.Atoi(token)
			if err != nil || i < 0 || i >= len(in) {
				return false
			}
			value = in[i]
		default:
			return false
		}
	}
	return true
}

func (q *walkRequest) hasParameter(in, name string) bool {
	switch in {
	case "query":
		_, after, _ := strings.Cut(q.target, "?")
		query, err := url.ParseQuery(after)
		return err != nil || query.Has(name)
	case "header":
		return q.header.Get(name) != "" || q.header.Values(name) != nil
	default:
		return in == "path" && strings.Contains(q.op.route.Path, "{"+name+"}")
	}
}

func unescaped(token string) string {
	return strings.NewReplacer("~1", "/", "~0", "~").Replace(token)
}
