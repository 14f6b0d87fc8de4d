package api

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"sort"
	"strings"
	"unicode/utf8"

	"github.com/getkin/kin-openapi/openapi3"
)

// designField is the member of a request body that holds the design.
const designField = "design"

// requestField is the member of a job that holds what its operation reads.
const requestField = "request"

// maxFaults keeps the answer to a hopeless request readable.
const maxFaults = 50

// checkEnvelope holds a body of a design and options to its schema. The design,
// or the request of a job, is only passed over: whoever decodes it finds its
// faults.
func checkEnvelope(body []byte, schema *openapi3.Schema) error {
	members, err := splitObject(body)
	if err != nil {
		return err
	}
	var list []FieldError
	for _, m := range members {
		property := schema.Properties[m.key]
		switch {
		case property == nil:
			list = append(list, FieldError{
				Pointer: "/" + pointerToken(m.key), Code: UnknownField,
				Detail: "unknown field; allowed here: " + strings.Join(propertyNames(schema), ", "),
			})
		case m.key != designField && m.key != requestField:
			faults, err := checkOption(m, property.Value)
			if err != nil {
				return err
			}
			list = append(list, faults...)
		}
	}
	for _, name := range schema.Required {
		if !hasMember(members, name) {
			list = append(list, FieldError{Pointer: "/" + name, Code: Missing, Detail: "required"})
		}
	}
	if len(list) > 0 {
		return faultAt(invalidRequest, list[:min(len(list), maxFaults)]...)
	}
	return nil
}

func checkOption(m rawMember, schema *openapi3.Schema) ([]FieldError, error) {
	if err := scanJSON(m.raw, "/"+pointerToken(m.key)); err != nil {
		return nil, err
	}
	var value any
	if err := json.Unmarshal(m.raw, &value); err != nil {
		return nil, err // the text was scanned
	}
	err := schema.VisitJSON(value)
	if err == nil {
		return nil, nil
	}
	if first := (*openapi3.SchemaError)(nil); errors.As(err, &first) && first.SchemaField == "maxItems" {
		return schemaFaults("/"+pointerToken(m.key), err), nil // the items may be very many
	}
	// Something is wrong: look again for everything that is.
	return schemaFaults("/"+pointerToken(m.key), schema.VisitJSON(value, openapi3.MultiErrors())), nil
}

func propertyNames(s *openapi3.Schema) []string {
	names := make([]string, 0, len(s.Properties))
	for name := range s.Properties {
		names = append(names, name)
	}
	sort.Strings(names)
	return names
}

// rawMember is one member of an object, its value as it was sent.
type rawMember struct {
	key string
	raw json.RawMessage
}

func hasMember(members []rawMember, key string) bool {
	for _, m := range members {
		if m.key == key {
			return true
		}
	}
	return false
}

// splitObject reads the top level of a JSON object.
func splitObject(body []byte) ([]rawMember, error) {
	if !utf8.Valid(body) {
		return nil, malformedAt("", MalformedJson, "the body is not valid UTF-8")
	}
	dec := json.NewDecoder(bytes.NewReader(body))
	open, err := dec.Token()
	if err != nil {
		return nil, whereMalformed(body)
	}
	if open != json.Delim('{') {
		if err := scanJSON(body, ""); err != nil {
			return nil, err
		}
		return nil, faultAt(invalidRequest, FieldError{Pointer: "", Code: WrongType, Detail: "the body must be an object"})
	}
	var members []rawMember
	seen := map[string]bool{}
	for dec.More() {
		var m rawMember
		key, err := dec.Token()
		if err == nil {
			m.key = key.(string) // the decoder allows nothing else before a colon
			err = dec.Decode(&m.raw)
		}
		if err != nil {
			return nil, whereMalformed(body)
		}
		if seen[m.key] {
			return nil, malformedAt("/"+pointerToken(m.key), DuplicateKey, "the same key appears twice in one object; keep one")
		}
		seen[m.key] = true
		members = append(members, m)
	}
	if _, err := dec.Token(); err != nil {
		return nil, whereMalformed(body)
	}
	if _, err := dec.Token(); err != io.EOF {
		return nil, whereMalformed(body)
	}
	return members, nil
}

func malformedAt(pointer string, code FieldErrorCode, detail string) error {
	return faultAt(malformedJSON, FieldError{Pointer: pointer, Code: code, Detail: detail})
}

// whereMalformed scans a body again that is known to be no JSON, to tell where.
func whereMalformed(body []byte) error {
	if err := scanJSON(body, ""); err != nil {
		return err
	}
	return malformedAt("", MalformedJson, "not valid JSON")
}

// scanDepth is deeper than any request and bounds the recursion.
const scanDepth = 20

// scanJSON tells whether text is one JSON value, without duplicate keys and not
// nested too deep. Pointers of faults start with prefix.
func scanJSON(text []byte, prefix string) error {
	s := &scanner{dec: json.NewDecoder(bytes.NewReader(text))}
	s.dec.UseNumber()
	if err := s.value(prefix, 0); err != nil {
		return err
	}
	if _, err := s.dec.Token(); err != io.EOF {
		return malformedAt(prefix, MalformedJson, "there is text after the end of the value")
	}
	return nil
}

type scanner struct{ dec *json.Decoder }

func (s *scanner) value(pointer string, depth int) error {
	token, err := s.dec.Token()
	if err != nil {
		return s.malformed(pointer, err)
	}
	if number, is := token.(json.Number); is {
		if _, err := number.Float64(); err != nil {
			return faultAt(invalidRequest, FieldError{Pointer: pointer, Code: OutOfRange, Detail: fmt.Sprintf("the number is too large; at most %g", math.MaxFloat64)})
		}
	}
	delim, nested := token.(json.Delim)
	if !nested {
		return nil
	}
	if depth == scanDepth {
		return malformedAt(pointer, TooDeep, fmt.Sprintf("nested more than %d levels deep", scanDepth))
	}
	if delim == '[' {
		for i := 0; s.dec.More(); i++ {
			if err := s.value(fmt.Sprintf("%s/%d", pointer, i), depth+1); err != nil {
				return err
			}
		}
	} else if err := s.members(pointer, depth); err != nil {
		return err
	}
	if _, err := s.dec.Token(); err != nil {
		return s.malformed(pointer, err)
	}
	return nil
}

func (s *scanner) members(pointer string, depth int) error {
	seen := map[string]bool{}
	for s.dec.More() {
		token, err := s.dec.Token()
		if err != nil {
			return s.malformed(pointer, err)
		}
		key := token.(string)
		at := pointer + "/" + pointerToken(key)
		if seen[key] {
			return malformedAt(at, DuplicateKey, "the same key appears twice in one object; keep one")
		}
		seen[key] = true
		if err := s.value(at, depth+1); err != nil {
			return err
		}
	}
	return nil
}

func (s *scanner) malformed(pointer string, err error) error {
	detail := fmt.Sprintf("not valid JSON near byte %d", s.dec.InputOffset())
	if syntax := (*json.SyntaxError)(nil); errors.As(err, &syntax) {
		detail = fmt.Sprintf("not valid JSON near byte %d: %s", syntax.Offset, syntax)
	} else if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		detail = "the body ends too early"
	}
	return malformedAt(pointer, MalformedJson, detail)
}
