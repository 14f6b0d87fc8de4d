package design

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"foldwright/solver/geom"
)

const (
	maxPathBytes = 20_000
	// maxProblems keeps the answer to a hopeless document readable.
	maxProblems = 50
)

// faults collects the problems of one document.
type faults struct {
	units    Units
	problems []Problem
}

func (f *faults) add(pointer string, code Code, format string, args ...any) {
	if len(f.problems) < maxProblems {
		f.problems = append(f.problems, Problem{pointer, code, fmt.Sprintf(format, args...)})
	}
}

// named tells whether one of the pointers is already at fault.
func (f *faults) named(pointers ...string) bool {
	return slices.ContainsFunc(f.problems, func(p Problem) bool { return slices.Contains(pointers, p.Pointer) })
}

// object reads one JSON object by its schema. Faults are collected, and a field
// at fault reads as its zero value, so that one pass names them all.
type object struct {
	*faults
	node   node
	schema Schema
}

// openObject checks that n is an object and that it holds no unknown field.
func (f *faults) openObject(n node, schema Schema) *object {
	members, ok := n.value.([]member)
	if !ok {
		f.add(n.pointer, CodeWrongType, "must be an object, not %s", n.typeName())
		return nil
	}
	o := &object{f, n, schema}
	for _, m := range members {
		if schema.field(m.key) == nil {
			f.add(m.node.pointer, CodeUnknown, "unknown field; allowed here: %s", schema.names())
		}
	}
	return o
}

func (s Schema) names() string {
	names := make([]string, len(s))
	for i := range s {
		names[i] = s[i].Name
	}
	return strings.Join(names, ", ")
}

func (o *object) find(name string) (node, bool) {
	for _, m := range o.node.value.([]member) {
		if m.key == name {
			return m.node, true
		}
	}
	return node{}, false
}

func (o *object) has(name string) bool { _, ok := o.find(name); return ok }

func (o *object) pointer(name string) string { return o.node.pointer + "/" + pointerToken(name) }

func (o *object) reject(name string, code Code, format string, args ...any) {
	o.add(o.pointer(name), code, format, args...)
}

// lookup finds a field's schema and its node; a missing required field is a
// fault. A field missing from the schema is a mistake in this package.
func (o *object) lookup(name string) (*Field, node, bool) {
	f := o.schema.field(name)
	if f == nil {
		panic("design: no schema for field " + name)
	}
	n, ok := o.find(name)
	if !ok && f.Required {
		o.reject(name, CodeMissing, "required: %s", f.Doc)
	}
	return f, n, ok
}

// length reads a length in mm.
func (o *object) length(name string) float64 { return o.scaled(name, o.units.PerUnit()) }

// angle reads an angle given in degrees.
func (o *object) angle(name string) geom.Angle { return geom.Degrees(o.scaled(name, 1)) }

// number reads a plain number.
func (o *object) number(name string) float64 { return o.scaled(name, 1) }

// scaled reads a number and brings it to the schema's unit, in which its range
// and its default are written.
func (o *object) scaled(name string, perUnit float64) float64 {
	f, n, ok := o.lookup(name)
	if !ok {
		def, _ := f.Default.(float64)
		return def
	}
	text, isNumber := n.value.(json.Number)
	if !isNumber {
		o.reject(name, CodeWrongType, "must be a number, not %s", n.typeName())
		return 0
	}
	v, err := text.Float64()
	scaled := v * perUnit
	// A range given in mm and met in inches is taken as it is printed.
	slack := 0.0
	if f.Quantity == Length && perUnit != 1 {
		slack = perUnit / (2 * printedSteps)
	}
	if err != nil || !(scaled >= f.Min-slack && scaled <= f.Max+slack) {
		o.reject(name, CodeOutOfRange, "must be from %s to %s; got %s",
			o.show(f.Min, f.Quantity), o.show(f.Max, f.Quantity), clip(text.String()))
		return 0
	}
	return scaled
}

// in writes a length given in mm in the document's units.
func (f *faults) in(mm float64) string { return f.show(mm, Length) }

func (f *faults) show(v float64, q Quantity) string {
	switch q {
	case Length:
		return shortNumber(v/f.units.PerUnit()) + " " + string(f.units)
	case Degrees:
		return shortNumber(v) + " degrees"
	default:
		return shortNumber(v)
	}
}

// printedSteps is how many steps of the last printed place make one.
const printedSteps = 1e4

func shortNumber(v float64) string {
	return strconv.FormatFloat(math.Round(v*printedSteps)/printedSteps, 'f', -1, 64)
}

// clip shortens what a client sent before it is quoted back.
func clip(s string) string {
	const limit = 40
	if len(s) <= limit {
		return s
	}
	cut := limit
	for cut > 0 && !utf8.RuneStart(s[cut]) {
		cut--
	}
	return s[:cut] + "…"
}

// text reads a string: free text within its length, or one of the choices.
func (o *object) text(name string) string {
	f, n, ok := o.lookup(name)
	if !ok {
		def, _ := f.Default.(string)
		return def
	}
	s, isString := n.value.(string)
	if !isString {
		o.reject(name, CodeWrongType, "must be a string, not %s", n.typeName())
		return ""
	}
	if f.Quantity == Choice {
		if slices.Contains(f.Choices, s) {
			return s
		}
		o.reject(name, CodeNotAllowed, "must be one of %s; got %q", strings.Join(f.Choices, ", "), clip(s))
		return ""
	}
	if chars := utf8.RuneCountInString(s); float64(chars) > f.Max || float64(chars) < f.Min {
		o.reject(name, CodeOutOfRange, "must be %g to %g characters long; it has %d", f.Min, f.Max, chars)
		return ""
	}
	return s
}

// flag reads true or false.
func (o *object) flag(name string) bool {
	f, n, ok := o.lookup(name)
	if !ok {
		def, _ := f.Default.(bool)
		return def
	}
	v, isFlag := n.value.(bool)
	if !isFlag {
		o.reject(name, CodeWrongType, "must be true or false, not %s", n.typeName())
	}
	return v
}

// object reads a nested object; nil when it is absent or at fault.
func (o *object) object(name string) *object {
	f, n, ok := o.lookup(name)
	if !ok {
		return nil
	}
	return o.openObject(n, f.Fields)
}

// objectOrEmpty reads a nested object whose fields all have defaults.
func (o *object) objectOrEmpty(name string) *object {
	if nested := o.object(name); nested != nil {
		return nested
	}
	return &object{o.faults, node{o.pointer(name), []member{}}, o.schema.field(name).Fields}
}

// list reads an array of at most f.Max items.
func (o *object) list(name string) []node {
	f, n, ok := o.lookup(name)
	if !ok {
		return nil
	}
	items, isList := n.value.([]node)
	if !isList {
		o.reject(name, CodeWrongType, "must be an array, not %s", n.typeName())
		return nil
	}
	if float64(len(items)) > f.Max {
		o.reject(name, CodeTooMany, "at most %g are allowed; there are %d", f.Max, len(items))
		return nil
	}
	return items
}
