package api

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"testing"
)

// Each file of testdata/api is one scenario on an empty store: requests in turn
// and what must come back.
//
//	> POST /v1/designs         a request: method and address, then its headers,
//	> Content-Type: ...        then its body as it stands
//	{"spread": ...}
//	< 201                      the answer: status, then any of
//	< ETag: "1-*               a header, * for the rest of it
//	< /title "Quay"            a value in the body, by JSON pointer
//	< /next absent             or that there is none
//	< ~ Quay                   words somewhere in the body
//
// In requests $id, $etag, $next, $location, $secret and $url stand for what the last answer
// that had one said; ${deep 50 [} and ${deep 50 ]} for 50 of them.
func TestScenarios(t *testing.T) {
	files, err := filepath.Glob("../testdata/api/*.txt")
	if err != nil || len(files) == 0 {
		t.Fatalf("no scenarios: %v", err)
	}
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".txt"), func(t *testing.T) {
			t.Parallel()
			server := newServer(t)
			if strings.HasPrefix(filepath.Base(file), "job") {
				atWork(t, server)
			}
			p := &play{t: t, server: server, vars: map[string]string{}}
			for _, step := range readScenario(t, file) {
				p.step(step)
			}
		})
	}
}

type scenarioStep struct {
	line    int
	request []string // the first is method and address
	body    []string
	expect  []string
}

func readScenario(t *testing.T, file string) []scenarioStep {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var steps []scenarioStep
	lines := bufio.NewScanner(bytes.NewReader(data))
	lines.Buffer(nil, 1<<20)
	for n := 1; lines.Scan(); n++ {
		line := lines.Text()
		last := len(steps) - 1
		switch {
		case strings.HasPrefix(line, "#") || line == "":
		case strings.HasPrefix(line, "> "):
			if last < 0 || len(steps[last].expect) > 0 {
				steps = append(steps, scenarioStep{line: n})
				last++
			}
			steps[last].request = append(steps[last].request, line[2:])
		case strings.HasPrefix(line, "< "):
			steps[last].expect = append(steps[last].expect, line[2:])
		default:
			steps[last].body = append(steps[last].body, line)
		}
	}
	if len(steps) == 0 || lines.Err() != nil {
		t.Fatalf("%s: no steps (%v)", file, lines.Err())
	}
	for _, s := range steps {
		if len(s.expect) == 0 {
			t.Fatalf("%s:%d: nothing is expected", file, s.line)
		}
	}
	return steps
}

type play struct {
	t      *testing.T
	server *Server
	vars   map[string]string
}

func (p *play) fill(text string) string {
	for name, value := range p.vars {
		text = strings.ReplaceAll(text, "$"+name, value)
	}
	for {
		before, rest, found := strings.Cut(text, "${deep ")
		if !found {
			return text
		}
		spec, after, _ := strings.Cut(rest, "}")
		count, what, _ := strings.Cut(spec, " ")
		n, err := strconv.Atoi(count)
		if err != nil {
			p.t.Fatal(err)
		}
		text = before + strings.Repeat(what, n) + after
	}
}

func (p *play) step(s scenarioStep) {
	p.t.Helper()
	method, address, _ := strings.Cut(p.fill(s.request[0]), " ")
	r := httptest.NewRequest(method, address, strings.NewReader(p.fill(strings.Join(s.body, "\n"))))
	for _, h := range s.request[1:] {
		name, value, _ := strings.Cut(h, ": ")
		r.Header.Add(name, p.fill(value))
	}
	w := call(p.t, p.server, r)
	for _, e := range s.expect {
		p.check(s.line, p.fill(e), w)
	}
	p.remember(w)
}

func (p *play) remember(w *httptest.ResponseRecorder) {
	for name, header := range map[string]string{"etag": "ETag", "location": "Location"} {
		if v := w.Header().Get(header); v != "" {
			p.vars[name] = v
		}
	}
	var body map[string]any
	if json.Unmarshal(w.Body.Bytes(), &body) == nil {
		for _, name := range []string{"id", "next", "secret", "url"} {
			if v, ok := body[name].(string); ok {
				p.vars[name] = v
			}
		}
	}
}

func (p *play) check(line int, expect string, w *httptest.ResponseRecorder) {
	p.t.Helper()
	fail := func(got any) {
		p.t.Helper()
		p.t.Errorf("line %d: want %s, got %v\nstatus %d body %.800s", line, expect, got, w.Code, w.Body)
	}
	switch {
	case strings.HasPrefix(expect, "~ "):
		if !strings.Contains(w.Body.String(), expect[2:]) {
			fail("a body without it")
		}
	case strings.HasPrefix(expect, "/"):
		pointer, want, _ := strings.Cut(expect, " ")
		p.checkValue(pointer, want, w, fail)
	case len(expect) == 3:
		if expect != strconv.Itoa(w.Code) {
			fail(w.Code)
		}
	default:
		name, want, _ := strings.Cut(expect, ": ")
		got := w.Header().Get(name)
		if start, open := strings.CutSuffix(want, "*"); got != want && !(open && strings.HasPrefix(got, start)) {
			fail(fmt.Sprintf("%q", got))
		}
	}
}

func (p *play) checkValue(pointer, want string, w *httptest.ResponseRecorder, fail func(any)) {
	p.t.Helper()
	var body any
	if err := json.Unmarshal(w.Body.Bytes(), &body); err != nil {
		fail(err)
		return
	}
	got, found := at(body, pointer)
	if want == "absent" {
		if found {
			fail(got)
		}
		return
	}
	var value any
	if err := json.Unmarshal([]byte(want), &value); err != nil {
		p.t.Fatalf("%s: %v", want, err)
	}
	if !found || !reflect.DeepEqual(got, value) {
		fail(got)
	}
}

// at is the value at a JSON pointer; "/" is the whole.
func at(v any, pointer string) (any, bool) {
	if pointer == "/" {
		return v, true
	}
	for _, token := range strings.Split(pointer, "/")[1:] {
		token = strings.NewReplacer("~1", "/", "~0", "~").Replace(token)
		switch node := v.(type) {
		case map[string]any:
			next, ok := node[token]
			if !ok {
				return nil, false
			}
			v = next
		case []any:
			i, err := strconv.Atoi(token)
			if err != nil || i < 0 || i >= len(node) {
				return nil, false
			}
			v = node[i]
		default:
			return nil, false
		}
	}
	return v, true
}

// Bodies too long for a scenario file.
func TestBodyTooLarge(t *testing.T) {
	s := newServer(t)
	for _, path := range []string{"/v1/check", "/v1/designs"} {
		w := post(t, s, path, `{"design":{"notes":"`+strings.Repeat("x", 10<<20)+`"}}`)
		if w.Code != http.StatusRequestEntityTooLarge {
			t.Errorf("%s: %d", path, w.Code)
		}
	}
}
