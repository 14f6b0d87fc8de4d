package design

import "math"

// Quantity is what a field holds.
type Quantity string

const (
	Length  Quantity = "length"  // number in the design's units
	Degrees Quantity = "angle"   // number in degrees
	Real    Quantity = "number"  // plain number
	Text    Quantity = "text"    // string
	Choice  Quantity = "choice"  // one of Choices
	Outline Quantity = "outline" // SVG path data
	Profile Quantity = "profile" // SVG path data of one open line
	Points  Quantity = "points"  // array of Min to Max pairs [u, v] of lengths
	Whole   Quantity = "integer" // whole number
	Flag    Quantity = "flag"    // true or false
	Object  Quantity = "object"  // nested fields
	List    Quantity = "list"    // array, of objects where Fields is given
)

// Field is one field of an object: its unit, range and default. Ranges and
// defaults of lengths are in millimetres whatever the document's units.
type Field struct {
	Name     string
	Quantity Quantity
	Doc      string
	Required bool
	Min, Max float64 // range of a number, length of a text, count of points
	Default  any     // float64, string or bool; nil where there is none
	Choices  []string
	Fields   Schema // of an Object, or of the items of a List
}

// Least is the smallest number the field can hold in whichever unit a document is
// written: the minimum of a length is smaller in inches. Zero and negative
// minimums of a length hold as they are.
func (f *Field) Least() float64 {
	if f.Quantity != Length || f.Min <= 0 {
		return f.Min
	}
	const decimals = 1e4 // rounded down to what a reader can take in
	return math.Floor(f.Min/Inches.PerUnit()*decimals) / decimals
}

// Schema is the fields an object may hold, in the order they are documented.
type Schema []Field

func (s Schema) field(name string) *Field {
	for i := range s {
		if s[i].Name == name {
			return &s[i]
		}
	}
	return nil
}

// Bounds shared by the kinds. They only keep nonsense and overflow out; whether
// a mechanism works is for the checks to say.
const (
	maxLength   = 2000.0 // mm, longer than any sheet a cutter takes
	minLength   = 0.1    // mm, below any length that can be cut
	minAngle    = 0.5    // degrees; a panel thinner than this is a line
	maxAngle    = 179.5
	maxPosition = maxLength
)

func length(name, doc string) Field {
	return Field{Name: name, Quantity: Length, Doc: doc, Required: true, Min: minLength, Max: maxLength}
}

func position(name, doc string) Field {
	return Field{Name: name, Quantity: Length, Doc: doc, Required: true, Min: -maxPosition, Max: maxPosition}
}

func angle(name, doc string) Field {
	return Field{Name: name, Quantity: Degrees, Doc: doc, Required: true, Min: minAngle, Max: maxAngle}
}

func choice(name, doc string, def string, choices ...string) Field {
	return Field{Name: name, Quantity: Choice, Doc: doc, Default: def, Choices: choices}
}

// or makes the field optional, with a default.
func (f Field) or(def float64) Field {
	f.Required, f.Default = false, def
	return f
}

func (f Field) within(lo, hi float64) Field {
	f.Min, f.Max = lo, hi
	return f
}

// profile is the shape of a free edge. The path is fitted between the edge's
// ends by turning and scaling, so it keeps when the edge's length changes.
func profile(name, doc string) Field {
	return Field{Name: name, Quantity: Profile, Doc: doc, Min: 1, Max: maxPathBytes}
}

func flag(name, doc string, def bool) Field {
	return Field{Name: name, Quantity: Flag, Doc: doc, Default: def}
}

func nested(name, doc string, required bool, fields Schema) Field {
	return Field{Name: name, Quantity: Object, Doc: doc, Required: required, Fields: fields}
}
