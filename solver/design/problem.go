package design

import (
	"fmt"
	"strings"
)

// Code names what is wrong with a field.
type Code string

const (
	CodeMalformed   Code = "malformed_json"
	CodeTooDeep     Code = "too_deep"
	CodeDuplicate   Code = "duplicate_key"
	CodeWrongType   Code = "wrong_type"
	CodeMissing     Code = "missing"
	CodeUnknown     Code = "unknown_field"
	CodeOutOfRange  Code = "out_of_range"
	CodeNotAllowed  Code = "not_allowed"
	CodeTooMany     Code = "too_many"
	CodeBadID       Code = "bad_id"
	CodeDuplicateID Code = "duplicate_id"
	CodeUnknownHost Code = "unknown_host"
	CodeHostCycle   Code = "host_cycle"
	CodeBadPath     Code = "bad_path"
)

// Codes lists every code a Problem can carry.
func Codes() []Code {
	return []Code{
		CodeMalformed, CodeTooDeep, CodeDuplicate, CodeWrongType, CodeMissing, CodeUnknown,
		CodeOutOfRange, CodeNotAllowed, CodeTooMany, CodeBadID, CodeDuplicateID,
		CodeUnknownHost, CodeHostCycle, CodeBadPath,
	}
}

// Problem is one fault of a document. Pointer is an RFC 6901 JSON pointer from
// the root of the design; Detail says what is allowed.
type Problem struct {
	Pointer string
	Code    Code
	Detail  string
}

// Invalid is the error of a document with faults.
type Invalid struct{ Problems []Problem }

func (e *Invalid) Error() string {
	p := e.Problems[0]
	if len(e.Problems) == 1 {
		return fmt.Sprintf("design: %s: %s", p.Pointer, p.Detail)
	}
	return fmt.Sprintf("design: %s: %s (and %d more)", p.Pointer, p.Detail, len(e.Problems)-1)
}

// pointerToken escapes one reference token as RFC 6901 asks.
func pointerToken(s string) string { return pointerEscapes.Replace(s) }

var pointerEscapes = strings.NewReplacer("~", "~0", "/", "~1")
