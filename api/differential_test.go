package api

import (
	"encoding/json"
	"errors"
	"fmt"
	"sort"
	"strings"
	"testing"

	"foldwright/openapi"
	"foldwright/solver/design"
	"foldwright/testdata/designs"

	"github.com/getkin/kin-openapi/openapi3"
	"pgregory.net/rapid"
)

func designSchema(t testing.TB) *openapi3.Schema {
	t.Helper()
	doc, err := openapi.Load()
	if err != nil {
		t.Fatal(err)
	}
	return doc.Components.Schemas["Design"].Value
}

func asValue(t testing.TB, raw []byte) any {
	t.Helper()
	var v any
	if err := json.Unmarshal(raw, &v); err != nil {
		t.Fatal(err)
	}
	return v
}

// The contract and the decoder must agree on what a design is. What the decoder
// takes the contract takes; what the decoder refuses by a rule that a schema
// can state, the contract refuses too. Documents are the examples with one
// thing changed.
func TestContractAgreesWithDecoder(t *testing.T) {
	schema := designSchema(t)
	names := designs.Names()
	for _, name := range names {
		if err := schema.VisitJSON(asValue(t, exampleDocument(t, name).Raw)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	rapid.Check(t, func(r *rapid.T) {
		raw, _ := designs.Read(rapid.SampledFrom(names).Draw(r, "example"))
		root := asValue(t, raw)
		what := mutate(r, root)
		mutated, err := json.Marshal(root)
		if err != nil {
			r.Fatal(err)
		}
		_, decodeErr := design.Decode(mutated)
		schemaErr := schema.VisitJSON(root)
		if decodeErr == nil && schemaErr != nil {
			r.Fatalf("%s: the decoder takes it, the contract does not: %v", what, schemaErr)
		}
		var invalid *design.Invalid
		if schemaErr != nil || !errors.As(decodeErr, &invalid) {
			return
		}
		for _, p := range invalid.Problems {
			if statedBySchema(p) {
				r.Fatalf("%s: the contract takes it, the decoder does not: %s %s %s", what, p.Pointer, p.Code, p.Detail)
			}
		}
	})
}

// statedBySchema tells whether a problem is one a schema can state: it looks at
// one value alone. Ranges that depend on another field are worded otherwise;
// those of lengths depend on the document's units.
func statedBySchema(p design.Problem) bool {
	switch p.Code {
	case design.CodeWrongType, design.CodeUnknown, design.CodeTooMany:
		return true
	case design.CodeOutOfRange:
		return strings.HasPrefix(p.Detail, "must be from ") && !strings.Contains(p.Detail, " mm to ") && !strings.Contains(p.Detail, " in to ")
	case design.CodeNotAllowed:
		return strings.HasPrefix(p.Detail, "must be one of ")
	default:
		return false
	}
}

// mutate changes one thing somewhere in the document and says what.
func mutate(r *rapid.T, root any) string {
	node, path := root.(map[string]any), ""
	for {
		keys := []string{}
		for k := range node {
			keys = append(keys, k)
		}
		sort.Strings(keys)
		key := rapid.SampledFrom(append(keys, "berth")).Draw(r, "key")
		path += "/" + key
		child := node[key]
		if list, ok := child.([]any); ok && len(list) > 0 {
			i := rapid.IntRange(0, len(list)-1).Draw(r, "item")
			if inner, ok := list[i].(map[string]any); ok {
				node, path = inner, fmt.Sprintf("%s/%d", path, i)
				continue
			}
		}
		if inner, ok := child.(map[string]any); ok && rapid.Bool().Draw(r, "deeper") {
			node = inner
			continue
		}
		if child != nil && rapid.IntRange(0, 4).Draw(r, "remove") == 0 {
			delete(node, key)
			return path + " removed"
		}
		node[key] = rapid.SampledFrom(replacements(child)).Draw(r, "value")
		return fmt.Sprintf("%s = %v", path, node[key])
	}
}

// replacements are values around the edges of what fields allow.
func replacements(old any) []any {
	list := []any{nil, true, false, "", "x", "inner", "left", "mm", []any{}, map[string]any{}, map[string]any{"berth": 1.0}, strings.Repeat("q", 201), strings.Repeat("q", 33)}
	for _, v := range []float64{0, 0.01, 0.02, 0.1, 0.5, 1, 2, 5, 20, 60, 100, 179.5, 180, 200, 360, 500, 1000, 1500, 2000, 3000} {
		list = append(list, v, -v, v*1.000001, v*0.999999)
	}
	if v, ok := old.(float64); ok {
		list = append(list, v*1.01, v*0.99)
	}
	return list
}
