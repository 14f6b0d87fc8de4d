package api

import (
	"cmp"
	"encoding/json"
	"maps"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
)

// bound is one rule of the contract at one place: what breaks just that rule
// and what just keeps it, and what a refusal must tell.
type bound struct {
	rule     string
	place    []string // below the body or the parameter
	broken   any
	kept     any // nil where nothing lies on the bound
	inInches any // what is kept of a length, whose least is another in inches
	told     func(detail string) bool
	beside   string // member of the body that must be there too
	inDesign bool
}

// without is a value that takes a member out of an object.
type without struct{}

// finder finds the bounds in a schema by going through it along with values
// that it allows.
type finder struct {
	t *testing.T
	values
	// stands is the value that stands at a place in some valid request.
	stands func(place []string, s *openapi3.Schema) any
	// inBody is whether the value is JSON; in an address, all is text.
	inBody bool
	design *openapi3.Schema // the contract's
	within bool             // a design
	bounds []bound
}

// find goes through a schema and all within it.
func (f *finder) find(s *openapi3.Schema, place []string) {
	if s == f.design {
		f.within = true
		defer func() { f.within = false }()
	}
	f.refuseUnknownRules(s, place)
	switch {
	case len(s.OneOf) > 0 && s.Properties == nil:
		for _, kind := range slices.Sorted(maps.Keys(s.Discriminator.Mapping)) {
			for _, one := range s.OneOf {
				if strings.HasSuffix(s.Discriminator.Mapping[kind].Ref, one.Ref) {
					f.find(one.Value, append(slices.Clone(place[:len(place)-1]), s.Discriminator.PropertyName+"="+kind))
				}
			}
		}
		return
	case len(s.Enum) > 0:
		f.add(bound{rule: "enum", place: place, broken: "berth", kept: s.Enum[len(s.Enum)-1], told: tells(texts(s.Enum)...)})
	case s.Type.Is(openapi3.TypeNumber), s.Type.Is(openapi3.TypeInteger):
		f.findNumber(s, place)
	case s.Type.Is(openapi3.TypeString):
		f.findText(s, place)
	case s.Type.Is(openapi3.TypeArray):
		f.findList(s, place)
	case s.Type.Is(openapi3.TypeObject):
		f.findObject(s, place)
	}
	f.findType(s, place)
}

// refuseUnknownRules fails where the contract has a rule that is not tried here.
func (f *finder) refuseUnknownRules(s *openapi3.Schema, place []string) {
	known := []string{"", "double", "int32", "int64", "date-time"}
	if s.ExclusiveMin.IsSet() || s.ExclusiveMax.IsSet() || s.MultipleOf != nil || s.MinProps > 0 || len(s.AnyOf)+len(s.AllOf) > 0 || s.Not != nil || s.Nullable || !slices.Contains(known, s.Format) {
		f.t.Errorf("%v has a rule that is not tried", place)
	}
}

func (f *finder) add(b bound) {
	b.inDesign = f.within
	f.bounds = append(f.bounds, b)
}

var typesTold = map[string]*regexp.Regexp{
	openapi3.TypeInteger: regexp.MustCompile(`whole number`), openapi3.TypeNumber: regexp.MustCompile(`number`), openapi3.TypeString: regexp.MustCompile(`string`),
	openapi3.TypeBoolean: regexp.MustCompile(`true or false`), openapi3.TypeArray: regexp.MustCompile(`list|array|pair`), openapi3.TypeObject: regexp.MustCompile(`object`),
}

// findType: another type, and null.
func (f *finder) findType(s *openapi3.Schema, place []string) {
	name := s.Type.Slice()[0]
	told := typesTold[name].MatchString
	if len(s.Enum) > 0 { // the list says it all
		told = either(told, tells(texts(s.Enum)...))
	}
	other := any("berth")
	if name == openapi3.TypeString {
		other = json.Number("7")
	}
	switch {
	case f.inBody:
		f.add(bound{rule: "type", place: place, broken: other, told: told})
		f.add(bound{rule: "null", place: place, broken: nil, told: told})
	case name != openapi3.TypeString && name != openapi3.TypeArray: // any text is one, and may be a list of one
		f.add(bound{rule: "type", place: place, broken: other, told: told})
	}
	if name == openapi3.TypeInteger {
		f.add(bound{rule: "whole", place: place, broken: json.Number("1.5"), told: told})
	}
}

// step is how far past a bound a number goes.
func step(s *openapi3.Schema) float64 {
	if s.Type.Is(openapi3.TypeInteger) {
		return 1
	}
	return 1e-4 // the last place that messages print
}

func exact(v float64) json.Number { return json.Number(strconv.FormatFloat(v, 'f', -1, 64)) }

func (f *finder) findNumber(s *openapi3.Schema, place []string) {
	if s.Min != nil {
		past := *s.Min - step(s)
		if *s.Min > 0 && past <= 0 && s.Type.Is(openapi3.TypeNumber) {
			past = *s.Min * 0.9
		}
		f.add(bound{rule: "minimum", place: place, broken: exact(past), kept: exact(*s.Min), inInches: exact(*s.Min + step(s)), told: tellsNumber(*s.Min)})
	}
	if s.Max != nil {
		f.add(bound{rule: "maximum", place: place, broken: exact(*s.Max + step(s)), kept: exact(*s.Max), told: tellsNumber(*s.Max)})
	}
	switch {
	case s.Format == "int64" && s.Max == nil:
		f.add(bound{rule: "format int64", place: place, broken: json.Number("9223372036854775808"), kept: json.Number("9007199254740991"), told: tells("9223372036854775807")})
	case s.Format == "int32" && s.Max == nil:
		f.add(bound{rule: "format int32", place: place, broken: json.Number("2147483648"), kept: exact(math.MaxInt32), told: tells("2147483647")})
	case s.Type.Is(openapi3.TypeNumber) && s.Max == nil:
		f.add(bound{rule: "format double", place: place, broken: json.Number("1e400"), told: either(tells("too large"), tells("must be from"))})
	}
}

// findText: one character less, one more, and one that does not belong.
func (f *finder) findText(s *openapi3.Schema, place []string) {
	text, _ := f.stands(place, s).(string)
	if s.MinLength > 0 {
		f.add(bound{rule: "minLength", place: place, broken: lengthened(text, int(s.MinLength)-1), kept: lengthened(text, int(s.MinLength)), told: tellsNumber(float64(s.MinLength))})
	}
	if s.MaxLength != nil {
		f.add(bound{rule: "maxLength", place: place, broken: lengthened(text, int(*s.MaxLength)+1), kept: lengthened(text, int(*s.MaxLength)), told: tellsNumber(float64(*s.MaxLength))})
	}
	if s.Pattern != "" {
		f.add(bound{rule: "pattern", place: place, broken: f.misfit(s, text, place), told: either(tells(s.Pattern), tells(cmp.Or(patternWords[s.Pattern], s.Pattern)))})
	}
	if s.Format == "date-time" {
		f.add(bound{rule: "format date-time", place: place, broken: "2026-05-01", kept: "2026-05-01T00:00:00Z", told: tells("RFC 3339")})
	}
}

// patternWords are what is said instead of a pattern.
var patternWords = map[string]string{
	"^[a-z][a-z0-9_]{0,31}$": "a lower-case letter followed by up to 31 lower-case letters, digits or underscores",
}

// lengthened is the text of that many characters, as like it as may be.
func lengthened(text string, length int) string {
	if len(text) >= length {
		return text[:length]
	}
	return text + strings.Repeat("q", length-len(text))
}

// misfit is a text of an allowed length that the pattern does not allow.
func (f *finder) misfit(s *openapi3.Schema, text string, place []string) string {
	pattern := regexp.MustCompile(s.Pattern)
	for _, more := range []string{" ", "/", "\x01"} {
		if odd := text[:max(0, len(text)-1)] + more; !pattern.MatchString(odd) {
			return odd
		}
	}
	f.t.Fatalf("nothing found that %s does not match, for %v", s.Pattern, place)
	return ""
}

// findList: one item less, one more, one twice, and each rule of an item.
func (f *finder) findList(s *openapi3.Schema, place []string) {
	list, _ := f.stands(place, s).([]any)
	if len(list) == 0 {
		list = []any{f.of(s.Items.Value, 0)}
	}
	if s.MinItems > 0 {
		f.add(bound{rule: "minItems", place: place, broken: f.cycled(s, list, int(s.MinItems)-1), kept: f.cycled(s, list, int(s.MinItems)), told: either(tellsNumber(float64(s.MinItems)), tells("pair"))})
	}
	if s.MaxItems != nil {
		f.add(bound{rule: "maxItems", place: place, broken: f.cycled(s, list, int(*s.MaxItems)+1), kept: f.cycled(s, list, int(*s.MaxItems)), told: either(tellsNumber(float64(*s.MaxItems)), tells("pair"))})
	}
	if s.UniqueItems {
		f.add(bound{rule: "uniqueItems", place: place, broken: []any{list[0], list[0]}, told: tells("twice")})
	}
	f.find(s.Items.Value, append(slices.Clone(place), "0"))
}

// cycled is a list of that many items, taken from a list again and again, or
// where none may be there twice, from what they may be.
func (f *finder) cycled(s *openapi3.Schema, list []any, length int) []any {
	if s.UniqueItems {
		list = append(slices.Clone(s.Items.Value.Enum), s.Items.Value.Enum...)
	}
	out := make([]any, length)
	for i := range out {
		out[i] = list[i%len(list)]
		if entry, ok := out[i].(map[string]any); ok && entry["id"] != nil { // ids differ
			entry = maps.Clone(entry)
			entry["id"] = "q" + strconv.Itoa(i)
			out[i] = entry
		}
	}
	return out
}

// findObject: a member more, each that must be there less, and each rule of a
// member.
func (f *finder) findObject(s *openapi3.Schema, place []string) {
	within := func(name string) []string { return append(slices.Clone(place), name) }
	if s.AdditionalProperties.Has != nil && !*s.AdditionalProperties.Has {
		f.add(bound{rule: "additionalProperties", place: within("berth"), broken: json.Number("1"), told: tells(propertyNames(s)...)})
	}
	if more := s.AdditionalProperties.Schema; more != nil {
		for name := range f.stands(place, s).(map[string]any) {
			f.find(more.Value, within(name))
			break
		}
	}
	if s.MaxProps != nil {
		f.add(bound{rule: "maxProperties", place: place, broken: manyMembers(int(*s.MaxProps) + 1), told: tellsNumber(float64(*s.MaxProps))})
	}
	for _, name := range s.Required {
		f.add(bound{rule: "required", place: within(name), broken: without{}, told: tells("required")})
	}
	if len(s.OneOf) > 0 { // a design or the name of an example
		f.add(bound{rule: "oneOf", place: within(designField), broken: without{}, told: tells("design", "example")})
		f.add(bound{rule: "oneOf", place: within("example"), broken: "harbour_office", beside: designField, told: tells("not together", "design")})
	}
	for _, name := range slices.Sorted(maps.Keys(s.Properties)) {
		f.find(s.Properties[name].Value, within(name))
	}
}

// findMissing: the body or a parameter that must be there left out.
func (f *finder) findMissing(b *boundary) {
	switch p := b.parameter; {
	case p == nil:
		f.add(bound{rule: "required", broken: without{}, told: tells("ends too early")})
	case p.Required && p.In != openapi3.ParameterInPath:
		f.add(bound{rule: "required", broken: without{}, told: tells("required")})
	}
}

// unknownParameter is one that no operation has.
func (w *walker) unknownParameter() (*boundary, *bound) {
	b := &boundary{walker: w, parameter: &openapi3.Parameter{Name: "berth", In: openapi3.ParameterInQuery}}
	return b, &bound{rule: "unknown", broken: "1", told: tells(append(slices.Clone(w.op.query), "allowed here")...)}
}

// absent is whether the bound is broken by what takes a member out in a patch.
func (b *bound) absent() bool { return b.broken == nil || b.broken == any(without{}) }

func manyMembers(n int) map[string]any {
	object := map[string]any{}
	for i := range n {
		object["q"+strconv.Itoa(i)+".angle"] = json.Number("0")
	}
	return object
}

func texts(values []any) []string {
	list := make([]string, len(values))
	for i := range values {
		list[i] = values[i].(string)
	}
	return list
}

func either(one, other func(string) bool) func(string) bool {
	return func(detail string) bool { return one(detail) || other(detail) }
}

// tells is whether a text has all of the words in it.
func tells(words ...string) func(string) bool {
	return func(detail string) bool {
		return !slices.ContainsFunc(words, func(word string) bool { return !strings.Contains(detail, word) })
	}
}

var numbersIn = regexp.MustCompile(`(-?[0-9]+(?:\.[0-9]+)?)( mm\b)?`)

// tellsNumber is whether a text names a number. The contract writes the least of
// a length in inches, of which the millimetres are told where a design has them.
func tellsNumber(want float64) func(string) bool {
	_, decimals, _ := strings.Cut(string(exact(want)), ".")
	place := math.Pow10(-len(decimals))
	return func(detail string) bool {
		for _, m := range numbersIn.FindAllStringSubmatch(detail, -1) {
			got, _ := strconv.ParseFloat(m[1], 64)
			if got == want || m[2] != "" && decimals != "" && math.Abs(got/25.4-want) <= place {
				return true
			}
		}
		return false
	}
}
