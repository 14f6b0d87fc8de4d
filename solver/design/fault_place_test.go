package design

import (
	"encoding/json"
	"errors"
	"maps"
	"slices"
	"strconv"
	"strings"
	"testing"

	"foldwright/testdata/designs"
)

// A fault is told at something that was sent, or at what is missing from
// something that was; never at what a default stands for. Each example is tried
// with each of its fields left out that may be, and each number of the same
// mechanism then replaced.
func TestFaultsAreAtWhatWasSent(t *testing.T) {
	tried, faults := 0, 0
	seen := map[string]bool{}
	for _, name := range designs.Names() {
		raw, _ := designs.Read(name)
		var document map[string]any
		if err := json.Unmarshal(raw, &document); err != nil {
			t.Fatal(err)
		}
		mechanisms, _ := document["mechanisms"].([]any)
		for _, m := range mechanisms {
			mechanism := m.(map[string]any)
			kind := mechanism["kind"].(string)
			if seen[kind] || kind == "linkage" { // whose fields are in lists, which are not gone into
				continue
			}
			seen[kind] = true
			for _, left := range append([][]string{nil}, places(mechanism, nil, true)...) {
				restore := swapAt(mechanism, left, nil)
				if text, _ := json.Marshal(document); decodes(text) {
					for _, number := range places(mechanism, nil, false) {
						for _, value := range []float64{0.05, 0.6, 3, 7, 11, 25, 150, 700} {
							back := swapAt(mechanism, number, value)
							tried++
							faults += checkPlaces(t, document)
							back()
						}
					}
				}
				restore()
			}
		}
	}
	t.Logf("%d documents of %d kinds, %d faults", tried, len(seen), faults)
	if len(seen) < 12 || faults < 200 {
		t.Errorf("%d kinds, %d faults: the test shows little", len(seen), faults)
	}
}

func decodes(text []byte) bool {
	_, err := Decode(text)
	return err == nil
}

// places are the paths to all members of an object and those within it, or to
// the numbers alone.
func places(value any, path []string, members bool) [][]string {
	object, ok := value.(map[string]any)
	if !ok {
		return nil
	}
	var list [][]string
	for _, key := range slices.Sorted(maps.Keys(object)) {
		at := append(slices.Clip(path), key)
		if _, number := object[key].(float64); members || number {
			list = append(list, at)
		}
		list = append(list, places(object[key], at, members)...)
	}
	return list
}

// swapAt puts a value in an object, or takes out what is there, and gives what
// undoes that.
func swapAt(object map[string]any, path []string, value any) (undo func()) {
	if len(path) == 0 {
		return func() {}
	}
	for _, key := range path[:len(path)-1] {
		object = object[key].(map[string]any)
	}
	last := path[len(path)-1]
	before := object[last]
	if value == nil {
		delete(object, last)
	} else {
		object[last] = value
	}
	return func() { object[last] = before }
}

func checkPlaces(t *testing.T, document map[string]any) int {
	t.Helper()
	text, err := json.Marshal(document)
	if err != nil {
		t.Fatal(err)
	}
	_, err = Decode(text)
	invalid, _ := errors.AsType[*Invalid](err)
	if invalid == nil {
		return 0
	}
	for _, p := range invalid.Problems {
		parent := p.Pointer[:max(0, strings.LastIndexByte(p.Pointer, '/'))]
		if !sent(document, p.Pointer) && (p.Code != CodeMissing || !sent(document, parent)) {
			t.Errorf("%s: %s, of %s", p.Pointer, p.Detail, text)
		}
	}
	return len(invalid.Problems)
}

func sent(value any, pointer string) bool {
	for _, token := range strings.Split(pointer, "/")[1:] {
		switch in := value.(type) {
		case map[string]any:
			inner, ok := in[token]
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

// What a default makes impossible is told of the number that was given.
func TestDefaultsAreNotBlamed(t *testing.T) {
	for _, row := range []struct{ mechanism, at, told string }{
		{`{"id":"dial","kind":"wheel","on":{"panel":"page.left"},"place":{"u":30,"v":40},"radius":3}`, "/mechanisms/0/radius", "which is 4 mm where it is left out"},
		{`{"id":"dial","kind":"wheel","on":{"panel":"page.left"},"place":{"u":30,"v":40},"radius":3,"pivot_hole":4}`, "/mechanisms/0/pivot_hole", "less than the radius, 3 mm"},
		{`{"id":"wave","kind":"slide_tent","page":"left","from":10,"to":15,"fixed_offset":10,"near_width":20,"far_width":20,"travel":10}`, "/mechanisms/0/to", "at least 12 mm beyond from"},
		{`{"id":"wave","kind":"slide_tent","page":"left","from":10,"to":15,"fixed_offset":10,"near_width":20,"far_width":20,"travel":10,"strip":{"width":6}}`, "/mechanisms/0/strip/width", "at most 5 mm"},
	} {
		got := problems(t, with(row.mechanism))
		if len(got) != 1 || got[0].Pointer != row.at || got[0].Code != CodeOutOfRange || !strings.Contains(got[0].Detail, row.told) {
			t.Errorf("%s: %v", row.mechanism, got)
		}
	}
}
