package site

import (
	"encoding/json"
	"fmt"
	"html"
	"html/template"
	"slices"
	"strconv"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
)

// schema is one named type of the contract.
type schema struct {
	Name, Description string
	Type              template.HTML
	Limits            string
	OneOf             []template.HTML
	Fields            []field
}

type field struct {
	Name, Description string
	Required          bool
	Type              template.HTML
	Limits            string
}

func newSchema(name string, of *openapi3.Schema) schema {
	s := schema{Name: name, Description: of.Description}
	for _, one := range of.OneOf {
		if one.Ref != "" {
			s.OneOf = append(s.OneOf, typeOf(one))
		}
	}
	if !of.Type.Is(openapi3.TypeObject) || len(of.Properties) == 0 {
		if of.Type != nil {
			s.Type, s.Limits = inlineType(of), limits(of)
		}
		return s
	}
	names := sortedKeys(of.Properties)
	// What must be given comes first, as the contract lists it.
	slices.SortStableFunc(names, func(a, b string) int { return place(of.Required, a) - place(of.Required, b) })
	for _, name := range names {
		p := of.Properties[name]
		f := field{Name: name, Required: slices.Contains(of.Required, name), Type: typeOf(p), Limits: limits(p.Value)}
		f.Description = p.Value.Description
		s.Fields = append(s.Fields, f)
	}
	return s
}

func place(list []string, name string) int {
	if i := slices.Index(list, name); i >= 0 {
		return i
	}
	return len(list)
}

// typeOf names a type, with a link where it has a name of its own.
func typeOf(s *openapi3.SchemaRef) template.HTML {
	if s == nil {
		return ""
	}
	if s.Ref != "" {
		name := s.Ref[strings.LastIndexByte(s.Ref, '/')+1:]
		return template.HTML(fmt.Sprintf(`<a href="#%s">%s</a>`, html.EscapeString(anchor("schema", name)), html.EscapeString(name)))
	}
	return inlineType(s.Value)
}

func inlineType(s *openapi3.Schema) template.HTML {
	switch {
	case s.Type == nil:
		return "any"
	case s.Type.Is(openapi3.TypeArray):
		return "list of " + typeOf(s.Items)
	case s.Type.Is(openapi3.TypeObject) && s.AdditionalProperties.Schema != nil:
		return "object of " + typeOf(s.AdditionalProperties.Schema)
	case s.Format == "date-time":
		return "date and time"
	case s.Format == "binary":
		return "bytes"
	case s.Type.Is(openapi3.TypeInteger):
		return "whole number"
	case s.Type.Is(openapi3.TypeBoolean):
		return "true or false"
	default:
		return template.HTML(html.EscapeString(strings.Join(s.Type.Slice(), " or ")))
	}
}

// limits says what a value may be, beyond its type. What a named type allows
// stands with its name; only a default is said again.
func limits(s *openapi3.Schema) string {
	var parts []string
	add := func(format string, args ...any) { parts = append(parts, fmt.Sprintf(format, args...)) }
	if len(s.Enum) > 0 {
		words := make([]string, len(s.Enum))
		for i, v := range s.Enum {
			words[i] = "`" + fmt.Sprint(v) + "`"
		}
		add("%s", strings.Join(words, ", "))
	}
	switch {
	case s.Min != nil && s.Max != nil:
		add("%s to %s", number(*s.Min), number(*s.Max))
	case s.Min != nil:
		add("at least %s", number(*s.Min))
	case s.Max != nil:
		add("at most %s", number(*s.Max))
	}
	if s.Type.Is(openapi3.TypeString) && s.MaxLength != nil {
		if s.MinLength > 0 {
			add("%d to %d characters", s.MinLength, *s.MaxLength)
		} else {
			add("up to %d characters", *s.MaxLength)
		}
	}
	if s.MaxItems != nil {
		switch {
		case s.MinItems == *s.MaxItems:
			add("%d items", s.MinItems)
		case s.MinItems > 0:
			add("%d to %d items", s.MinItems, *s.MaxItems)
		default:
			add("up to %d items", *s.MaxItems)
		}
	}
	if s.Pattern != "" {
		add("matches `%s`", s.Pattern)
	}
	if s.Nullable {
		add("or null")
	}
	if s.Default != nil {
		if text, err := json.Marshal(s.Default); err == nil {
			add("default `%s`", text)
		}
	}
	return strings.Join(parts, "; ")
}

func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
