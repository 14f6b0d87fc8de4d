package design

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
)

// maxDepth is far deeper than any valid document and bounds the recursion.
const maxDepth = 16

// node is one JSON value with its place in the document. The standard decoder
// keeps neither duplicate keys nor the pointer of a fault, so documents are read
// into this tree first.
type node struct {
	pointer string
	value   any // nil, bool, string, json.Number, []node or []member
}

type member struct {
	key  string
	node node
}

func parseTree(data []byte) (node, *Problem) {
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.UseNumber()
	root, problem := parseNode(dec, "", 0)
	if problem != nil {
		return node{}, problem
	}
	if _, err := dec.Token(); err != io.EOF {
		return node{}, &Problem{"", CodeMalformed, "there is text after the end of the document"}
	}
	return root, nil
}

func parseNode(dec *json.Decoder, pointer string, depth int) (node, *Problem) {
	token, err := dec.Token()
	if err != nil {
		return node{}, malformed(dec, pointer, err)
	}
	delim, nested := token.(json.Delim)
	if !nested {
		return node{pointer, token}, nil
	}
	if depth == maxDepth {
		return node{}, &Problem{pointer, CodeTooDeep, fmt.Sprintf("nested more than %d levels deep", maxDepth)}
	}
	if delim == '[' {
		return parseArray(dec, pointer, depth)
	}
	return parseObject(dec, pointer, depth)
}

func parseArray(dec *json.Decoder, pointer string, depth int) (node, *Problem) {
	items := []node{}
	for dec.More() {
		item, problem := parseNode(dec, fmt.Sprintf("%s/%d", pointer, len(items)), depth+1)
		if problem != nil {
			return node{}, problem
		}
		items = append(items, item)
	}
	if _, err := dec.Token(); err != nil {
		return node{}, malformed(dec, pointer, err)
	}
	return node{pointer, items}, nil
}

func parseObject(dec *json.Decoder, pointer string, depth int) (node, *Problem) {
	members := []member{}
	seen := map[string]bool{}
	for dec.More() {
		token, err := dec.Token()
		if err != nil {
			return node{}, malformed(dec, pointer, err)
		}
		key := token.(string) // the decoder allows nothing else before a colon
		at := pointer + "/" + pointerToken(key)
		if seen[key] {
			return node{}, &Problem{at, CodeDuplicate, "the same key appears twice in one object; keep one"}
		}
		seen[key] = true
		child, problem := parseNode(dec, at, depth+1)
		if problem != nil {
			return node{}, problem
		}
		members = append(members, member{key, child})
	}
	if _, err := dec.Token(); err != nil {
		return node{}, malformed(dec, pointer, err)
	}
	return node{pointer, members}, nil
}

func malformed(dec *json.Decoder, pointer string, err error) *Problem {
	detail := fmt.Sprintf("not valid JSON near byte %d", dec.InputOffset())
	if syntax := (*json.SyntaxError)(nil); errors.As(err, &syntax) {
		detail = fmt.Sprintf("not valid JSON near byte %d: %s", syntax.Offset, syntax)
	} else if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		detail = "the document ends too early"
	}
	return &Problem{pointer, CodeMalformed, detail}
}

// typeName is what a reader calls the value's type.
func (n node) typeName() string {
	switch n.value.(type) {
	case nil:
		return "null"
	case bool:
		return "a boolean"
	case string:
		return "a string"
	case json.Number:
		return "a number"
	case []node:
		return "an array"
	default:
		return "an object"
	}
}
