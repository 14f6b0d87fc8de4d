package api

import (
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
)

// values are drawn from schemas and from what readers stumble over.
type values struct{ *rand.Rand }

func pick[T any](v values, list []T) T { return list[v.IntN(len(list))] }

// chance is true once in n.
func (v values) chance(n int) bool { return v.IntN(n) == 0 }

// of draws a value that the schema allows, or nearly so: rules that tie one
// field to another are not kept, and patterns only by the schema's example.
func (v values) of(s *openapi3.Schema, depth int) any {
	switch {
	case s.Example != nil && v.chance(2):
		return s.Example
	case len(s.Enum) > 0:
		return pick(v, s.Enum)
	case len(s.OneOf) > 0 && s.Properties == nil:
		return v.of(pick(v, s.OneOf).Value, depth)
	case len(s.AllOf) > 0:
		return v.of(pick(v, s.AllOf).Value, depth)
	case s.Type.Is(openapi3.TypeBoolean):
		return v.chance(2)
	case s.Type.Is(openapi3.TypeInteger):
		return math.Round(v.number(s))
	case s.Type.Is(openapi3.TypeNumber):
		return v.number(s)
	case s.Type.Is(openapi3.TypeString):
		return v.text(s)
	case s.Type.Is(openapi3.TypeArray):
		return v.list(s, depth)
	default:
		return v.object(s, depth)
	}
}

func (v values) number(s *openapi3.Schema) float64 {
	low, high := -1000.0, 1000.0
	if s.Min != nil {
		low = *s.Min
	}
	if s.Max != nil {
		high = *s.Max
	}
	switch v.IntN(6) {
	case 0:
		return low
	case 1:
		return high
	case 2: // mostly small, as people's numbers are
		return min(high, low+math.Round(20*v.Float64()))
	default:
		return low + math.Round(v.Float64()*(high-low)*8)/8
	}
}

func (v values) text(s *openapi3.Schema) string {
	if text, ok := s.Example.(string); ok {
		return text
	}
	length := int(s.MinLength)
	if s.MaxLength != nil {
		length += v.IntN(int(*s.MaxLength-s.MinLength) + 1)
	}
	return strings.Repeat("quay", length/4+1)[:length]
}

func (v values) list(s *openapi3.Schema, depth int) any {
	length := int(s.MinItems) + v.IntN(3)
	if s.MaxItems != nil {
		length = min(length, int(*s.MaxItems))
	}
	list := make([]any, length)
	for i := range list {
		list[i] = v.of(s.Items.Value, depth+1)
	}
	return list
}

func (v values) object(s *openapi3.Schema, depth int) any {
	object := map[string]any{}
	for _, name := range slices.Sorted(maps.Keys(s.Properties)) {
		if slices.Contains(s.Required, name) || v.chance(3+depth) {
			object[name] = v.of(s.Properties[name].Value, depth+1)
		}
	}
	return object
}

// nasty is what some reader somewhere has stumbled over.
func (v values) nasty() any {
	return pick(v, []any{
		nil, true, false, 0.0, -1.0, 0.5, 1e-300, 1e300, -1e300, math.MaxInt32 + 1.0, math.MaxInt64, -0.0000001, 181.0, 1e9,
		"", " ", "x", "0", "null", "NaN", "quay\x00", "\u202egnul", "😀⛵", "é", "\ufffd\ufffe", "../../quay", "';--", "<svg onload=x>", "%00%2f", "a~b/c",
		strings.Repeat("quay", 100), strings.Repeat("⛵", 3000), "M0 0" + strings.Repeat("A9 9 0 0 1 1 1", 50) + "Z",
		[]any{}, []any{nil}, []any{[]any{[]any{}}}, map[string]any{}, map[string]any{"": nil}, map[string]any{"a~b/c": 1.0}, map[string]any{"kind": "gull"},
		deeply(15), deeply(40), many(0.0, 800), many("quay", 300), many(map[string]any{}, 250),
	})
}

func deeply(levels int) any {
	var value any = 1.0
	for i := range levels {
		if i%2 == 0 {
			value = []any{value}
		} else {
			value = map[string]any{"quay": value}
		}
	}
	return value
}

func many(value any, n int) any { return slices.Repeat([]any{value}, n) }

// spoil changes one thing somewhere within a value, and returns the whole.
func (v values) spoil(value any) any {
	if v.chance(4) {
		return v.nasty()
	}
	switch old := value.(type) {
	case map[string]any:
		if len(old) == 0 || v.chance(8) {
			old[pick(v, []string{"berth", "", "a~b/c", "⛵", "design", "\x00"})] = v.nasty()
			return old
		}
		key := pick(v, slices.Sorted(maps.Keys(old)))
		if v.chance(6) {
			delete(old, key)
		} else {
			old[key] = v.spoil(old[key])
		}
		return old
	case []any:
		if len(old) == 0 {
			return []any{v.nasty()}
		}
		i := v.IntN(len(old))
		switch v.IntN(8) {
		case 0:
			return slices.Delete(old, i, i+1)
		case 1:
			return slices.Insert(old, i, old[i])
		default:
			old[i] = v.spoil(old[i])
			return old
		}
	case float64:
		return pick(v, []any{old * 1.01, old * 0.9, -old, old * 10, old + 0.001, 0.0, math.Round(old), v.nasty()})
	default:
		return v.nasty()
	}
}
