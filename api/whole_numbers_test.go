package api

import (
	"encoding/json"
	"fmt"
	"maps"
	"net/http"
	"slices"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
)

// wholeField is a field of a request that takes whole numbers.
type wholeField struct {
	path   []string // "0" is an item of a list
	schema *openapi3.Schema
}

func wholeFields(s *openapi3.Schema, path []string) []wholeField {
	switch {
	case s.Type.Is(openapi3.TypeInteger):
		return []wholeField{{path, s}}
	case s.Type.Is(openapi3.TypeArray):
		return wholeFields(s.Items.Value, append(slices.Clip(path), "0"))
	}
	var list []wholeField
	for _, name := range slices.Sorted(maps.Keys(s.Properties)) {
		if name != designField && name != requestField {
			list = append(list, wholeFields(s.Properties[name].Value, append(slices.Clip(path), name))...)
		}
	}
	return list
}

// body is a request with a value in the field and no more around it than must
// be.
func (f *wholeField) body(value string) string {
	for _, token := range slices.Backward(f.path) {
		if token == "0" {
			value = "[" + value + "]"
		} else {
			value = fmt.Sprintf("{%q:%s}", token, value)
		}
	}
	return strings.Replace(value, "{", `{"example":"quay",`, 1)
}

// Every whole number of a request has bounds that a float64 counts to one by one,
// as a reader of JSON must bear (RFC 8259, section 6). What is beyond them, beyond
// 64 bits or no whole number is told at the field, with the bounds, in a request
// and in that of a job. Source: the contract.
func TestWholeNumbersHaveBounds(t *testing.T) {
	s := newServer(t)
	fields := 0
	for _, at := range slices.Sorted(maps.Keys(s.operations)) {
		op := s.operations[at]
		path, plain := strings.CutPrefix(at, http.MethodPost+" ")
		if op.options == nil || !plain || strings.Contains(path, ":") {
			continue
		}
		for _, f := range wholeFields(op.options, nil) {
			fields++
			pointer := "/" + strings.Join(f.path, "/")
			if f.schema.Min == nil || f.schema.Max == nil || *f.schema.Min < -exactly || *f.schema.Max >= exactly {
				t.Errorf("%s %s: without bounds that can be told", path, pointer)
				continue
			}
			past := []string{
				plainNumber(*f.schema.Min - 1), plainNumber(*f.schema.Max + 1),
				"9223372036854775807", "9223372036854775808", "-9223372036854775809", "1e30", "1e308",
			}
			for _, value := range past {
				requests := [][2]string{{path, ""}}
				if _, runs := jobWork[JobOperation(strings.TrimPrefix(path, "/v1/"))]; runs {
					requests = append(requests, [2]string{"/v1/jobs", "/" + requestField})
				}
				for _, to := range requests {
					body := f.body(value)
					if to[1] != "" {
						body = fmt.Sprintf(`{"operation":%q,"request":%s}`, strings.TrimPrefix(path, "/v1/"), body)
					}
					w := post(t, s, to[0], body)
					var p Problem
					if err := json.Unmarshal(w.Body.Bytes(), &p); err != nil || w.Code != http.StatusUnprocessableEntity || p.Errors == nil {
						t.Errorf("%s %s: %d %s", to[0], body, w.Code, w.Body)
						continue
					}
					told := slices.DeleteFunc(slices.Clone(*p.Errors), func(e FieldError) bool { return e.Pointer != to[1]+pointer })
					if len(told) != 1 || told[0].Code != OutOfRange || !strings.Contains(told[0].Detail, plainNumber(*f.schema.Max)) {
						t.Errorf("%s %s: told %v", to[0], body, *p.Errors)
					}
				}
			}
		}
	}
	if fields < 15 {
		t.Errorf("%d fields: the test shows little", fields)
	}
}

// A whole number may be written with a point or an exponent, in a request and in
// that of a job, and what looks like one in a text is left alone.
func TestWholeNumbersAreReadHoweverWritten(t *testing.T) {
	s := newServer(t)
	plain := post(t, s, "/v1/view", `{"example":"quay","width":640}`)
	for _, width := range []string{"640.0", "6.4e2", "64E+1", "6400e-1"} {
		w := post(t, s, "/v1/view", `{"example":"quay","width":`+width+`}`)
		if w.Code != http.StatusOK || w.Body.String() != plain.Body.String() {
			t.Errorf("%s: %d %.200s", width, w.Code, w.Body)
		}
	}
	if w := post(t, s, "/v1/jobs", `{"operation":"layout","request":{"example":"quay","copies":2.0}}`); w.Code != http.StatusAccepted {
		t.Errorf("a job: %d %s", w.Code, w.Body)
	}
	for text, want := range map[string]string{
		`{"a":1.0,"b":-2e1,"c":1.5}`:        `{"a":1,"b":-20,"c":1.5}`,
		`{"title":"1.0 \"2.0 gulls","n":3}`: `{"title":"1.0 \"2.0 gulls","n":3}`,
		`[9007199254740993.0,1e400]`:        `[9007199254740993.0,1e400]`,
		`[-0.0,1E2]`:                        `[0,100]`,
	} {
		if got := string(plainWholes([]byte(text))); got != want {
			t.Errorf("%s became %s, not %s", text, got, want)
		}
	}
}
