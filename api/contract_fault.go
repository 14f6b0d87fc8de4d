package api

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
)

var tokenEscapes = strings.NewReplacer("~", "~0", "/", "~1")

// pointerToken escapes one reference token of a JSON pointer (RFC 6901).
func pointerToken(s string) string { return tokenEscapes.Replace(s) }

// indexed is the pointer of an item of a list.
func indexed(list string, i int) string { return list + "/" + strconv.Itoa(i) }

// parameterFault says what is wrong with a path, query or header parameter.
func parameterFault(err error) error {
	var refused *openapi3filter.RequestError
	if !errors.As(err, &refused) || refused.Parameter == nil {
		return err
	}
	pointer := "/" + refused.Parameter.In + "/" + pointerToken(refused.Parameter.Name)
	var schema *openapi3.SchemaError
	var unread *openapi3filter.ParseError
	switch {
	case errors.As(err, &schema):
		return faultAt(invalidParameter, schemaFaults(pointer, schema)...)
	case errors.As(err, &unread):
		s := refused.Parameter.Schema.Value
		for _, item := range unread.Path() {
			pointer += "/" + pointerToken(fmt.Sprint(item))
			s = s.Items.Value
		}
		return faultAt(invalidParameter, FieldError{Pointer: pointer, Code: WrongType, Detail: "must be " + typeNames(s)})
	case errors.Is(err, openapi3filter.ErrInvalidRequired), errors.Is(err, openapi3filter.ErrInvalidEmptyValue):
		return faultAt(invalidParameter, FieldError{Pointer: pointer, Code: Missing, Detail: "a value is required: it " + valueRule(refused.Parameter.Schema.Value)})
	default:
		return faultAt(invalidParameter, FieldError{Pointer: pointer, Code: BadFormat, Detail: "cannot be read"})
	}
}

// schemaFaults lists what an error of the schema validator found, place by
// place. The error's own text is not for clients: it quotes the schema.
func schemaFaults(prefix string, err error) []FieldError {
	switch e := err.(type) { // not errors.As, which would find one within many
	case openapi3.MultiError:
		var list []FieldError
		for _, one := range e {
			list = append(list, schemaFaults(prefix, one)...)
		}
		return slices.Compact(list) // beyond its format and its bounds
	case *openapi3.SchemaError:
		if inner := schemaFaults(prefix, e.Origin); len(inner) > 0 {
			return inner
		}
		return []FieldError{schemaFault(prefix, e)}
	default:
		return nil
	}
}

func schemaFault(prefix string, err *openapi3.SchemaError) FieldError {
	var pointer strings.Builder
	pointer.WriteString(prefix)
	for _, token := range err.JSONPointer() {
		pointer.WriteString("/" + pointerToken(token))
	}
	code, detail := schemaRule(err)
	if code == UnknownField { // which the validator finds in the object around it
		if name, ok := quotedIn(err.Reason); ok {
			pointer.WriteString("/" + pointerToken(name))
		}
	}
	return FieldError{Pointer: pointer.String(), Code: code, Detail: detail}
}

// quotedIn is the first quoted word of a text.
func quotedIn(text string) (string, bool) {
	_, from, _ := strings.Cut(text, `"`)
	quoted, err := strconv.QuotedPrefix(`"` + from)
	if err != nil {
		return "", false
	}
	name, err := strconv.Unquote(quoted)
	return name, err == nil
}

// valueRule says what a value must be at least to be one.
func valueRule(s *openapi3.Schema) string {
	switch {
	case s.Type.Is(openapi3.TypeString) && s.MinLength > 0:
		return lengthRange(s)
	case s.Type.Is(openapi3.TypeArray) && s.MinItems > 0:
		return itemsLeast(s)
	default:
		return "must be " + typeNames(s)
	}
}

func itemsLeast(s *openapi3.Schema) string {
	return "must have at least " + counted(s.MinItems, "item")
}

// schemaRule says which rule was broken and what it allows.
func schemaRule(err *openapi3.SchemaError) (FieldErrorCode, string) {
	s := err.Schema
	switch err.SchemaField {
	case "type", "nullable":
		return WrongType, "must be " + typeNames(s)
	case "minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum":
		return OutOfRange, numberRange(s)
	case "minLength", "maxLength":
		return OutOfRange, lengthRange(s)
	case "minItems":
		return OutOfRange, itemsLeast(s)
	case "maxItems":
		return TooMany, "must have at most " + counted(*s.MaxItems, "item")
	case "maxProperties":
		return TooMany, "must have at most " + counted(*s.MaxProps, "member")
	case "uniqueItems":
		return NotAllowed, "must have no item twice"
	case "enum":
		return NotAllowed, "must be one of " + strings.Trim(strings.ReplaceAll(fmt.Sprint(s.Enum), " ", ", "), "[]")
	case "pattern":
		return BadFormat, "must match " + s.Pattern
	case "required":
		return Missing, "required"
	case "properties", "additionalProperties":
		return UnknownField, "unknown field; allowed here: " + strings.Join(propertyNames(s), ", ")
	case "format":
		if s.Min != nil && s.Max != nil { // which say more
			return OutOfRange, numberRange(s)
		}
		return BadFormat, "must be " + formatWords[s.Format]
	default:
		return NotAllowed, "does not match the contract: " + err.SchemaField
	}
}

// formatWords are for those formats of the contract that a request can break.
var formatWords = map[string]string{
	"int32":     fmt.Sprintf("a whole number from %d to %d", math.MinInt32, math.MaxInt32),
	"int64":     fmt.Sprintf("a whole number from %d to %d", math.MinInt64, math.MaxInt64),
	"date-time": "a date and time of RFC 3339, such as 2026-05-01T00:00:00Z",
}

func numberRange(s *openapi3.Schema) string {
	switch {
	case s.Min != nil && s.Max != nil:
		return "must be from " + plainNumber(*s.Min) + " to " + plainNumber(*s.Max)
	case s.Min != nil:
		return "must be at least " + plainNumber(*s.Min)
	default:
		return "must be at most " + plainNumber(*s.Max)
	}
}

// plainNumber writes a bound of the contract as it is written there, without an
// exponent.
func plainNumber(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// counted is a number of things.
func counted(n uint64, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return strconv.FormatUint(n, 10) + " " + thing + "s"
}

func lengthRange(s *openapi3.Schema) string {
	if s.MaxLength != nil {
		return fmt.Sprintf("must be from %d to %s long", s.MinLength, counted(*s.MaxLength, "character"))
	}
	return "must be at least " + counted(s.MinLength, "character") + " long"
}

var typeWords = map[string]string{
	openapi3.TypeInteger: "a whole number",
	openapi3.TypeNumber:  "a number",
	openapi3.TypeString:  "a string",
	openapi3.TypeBoolean: "true or false",
	openapi3.TypeArray:   "a list",
	openapi3.TypeObject:  "an object",
}

func typeNames(s *openapi3.Schema) string {
	if s == nil || s.Type == nil {
		return "of another type"
	}
	words := make([]string, 0, 1)
	for _, t := range s.Type.Slice() {
		words = append(words, typeWords[t])
	}
	text := strings.Join(words, " or ")
	if s.Type.Is(openapi3.TypeArray) && s.Items != nil {
		text += ", each " + typeNames(s.Items.Value)
	}
	return text
}
