package api

import (
	"bytes"
	"encoding/json"
	"strconv"
	"strings"

	jsonpatch "github.com/evanphx/json-patch/v5"
)

// numberChange is a new number for a field of a document.
type numberChange struct {
	pointer string
	value   float64
}

// patchNumbers changes numbers of a document and nothing else, and gives the
// changes as a JSON Patch. Fields the document leaves out are added, with the
// objects they are in.
func patchNumbers(raw []byte, changes []numberChange) (patched []byte, patch JsonPatch, err error) {
	var tree any
	if err := json.Unmarshal(raw, &tree); err != nil {
		return nil, nil, err
	}
	patch = JsonPatch{}
	for _, c := range changes {
		for _, parent := range parents(c.pointer) {
			if !hasPlace(tree, parent) && !addsPlace(patch, parent) {
				patch = append(patch, JsonPatchChange{Op: Add, Path: parent, Value: struct{}{}})
			}
		}
		op := Add
		if hasPlace(tree, c.pointer) {
			op = Replace
		}
		patch = append(patch, JsonPatchChange{Op: op, Path: c.pointer, Value: c.value})
	}
	if len(patch) == 0 {
		return raw, patch, nil
	}
	text, err := json.Marshal(patch)
	if err != nil {
		return nil, nil, err
	}
	applied, err := jsonpatch.DecodePatch(text)
	if err != nil {
		return nil, nil, err
	}
	patched, err = applied.Apply(bytes.TrimSpace(raw))
	return patched, patch, err
}

// parents are the pointers of the objects and arrays a place is in, the outer
// ones first.
func parents(pointer string) []string {
	var list []string
	for i := 1; i < len(pointer); i++ {
		if pointer[i] == '/' {
			list = append(list, pointer[:i])
		}
	}
	return list
}

// hasPlace tells whether a document has a value at a pointer of plain keys.
func hasPlace(tree any, pointer string) bool {
	for token := range strings.SplitSeq(strings.TrimPrefix(pointer, "/"), "/") {
		switch at := tree.(type) {
		case map[string]any:
			value, ok := at[token]
			if !ok {
				return false
			}
			tree = value
		case []any:
			i, err := strconv.Atoi(token)
			if err != nil || i < 0 || i >= len(at) {
				return false
			}
			tree = at[i]
		default:
			return false
		}
	}
	return true
}

func addsPlace(patch JsonPatch, pointer string) bool {
	for i := range patch {
		if patch[i].Path == pointer {
			return true
		}
	}
	return false
}
