package design

import (
	"fmt"
	"strconv"
	"strings"

	"foldwright/solver/geom"
)

// Number is a changeable measurement of a design, found by its pointer.
type Number struct {
	Pointer string
	Angle   bool
	value   *float64
	perUnit float64
}

// Get reads the measurement in the document's units or degrees.
func (n Number) Get() float64 {
	if n.Angle {
		return geom.Angle(*n.value).Degrees()
	}
	return *n.value / n.perUnit
}

// Set changes the measurement, given in the document's units or degrees.
func (n Number) Set(v float64) {
	if n.Angle {
		*n.value = float64(geom.Degrees(v))
		return
	}
	*n.value = v * n.perUnit
}

// Scale is one unit of the measurement in mm or radians.
func (n Number) Scale() float64 {
	if n.Angle {
		return float64(geom.Degrees(1))
	}
	return n.perUnit
}

// Unit is "deg", "mm" or "in".
func (n Number) Unit() string {
	if n.Angle {
		return "deg"
	}
	if n.perUnit == Inches.PerUnit() {
		return string(Inches)
	}
	return string(Millimetres)
}

// Range gives the least and greatest value the document allows.
func (n Number) Range(d *Design) (lo, hi float64) {
	f := d.fieldAt(n.Pointer)
	if f == nil {
		return 0, 0
	}
	if n.Angle {
		return f.Min, f.Max
	}
	return f.Min / n.perUnit, f.Max / n.perUnit
}

// Numbers lists the measurements of one mechanism.
func (d *Design) Numbers(mechanism int) []Number {
	list := d.Mechanisms[mechanism].Spec.numbers()
	out := make([]Number, len(list))
	for i, n := range list {
		out[i] = Number{pointerTo(mechanism, n.path), n.angle, n.value, d.Units.PerUnit()}
	}
	return out
}

// Number finds a measurement of a mechanism, the spread or the paper by its
// pointer.
func (d *Design) Number(pointer string) (Number, bool) {
	for _, n := range d.spreadNumbers() {
		if n.Pointer == pointer {
			return n, true
		}
	}
	index, _, ok := SplitPointer(pointer)
	if !ok || index >= len(d.Mechanisms) {
		return Number{}, false
	}
	for _, n := range append(d.Numbers(index), d.jointNumbers(index)...) {
		if n.Pointer == pointer {
			return n, true
		}
	}
	return Number{}, false
}

// jointNumbers are the measurements of how a mechanism is glued.
func (d *Design) jointNumbers(mechanism int) []Number {
	m := &d.Mechanisms[mechanism]
	if !m.Info().jointed() {
		return nil
	}
	per := d.Units.PerUnit()
	return []Number{
		{pointerTo(mechanism, "joint/tab_depth"), false, &m.Joint.TabDepth, per},
		{pointerTo(mechanism, "joint/tab_taper"), true, (*float64)(&m.Joint.TabTaper), per},
	}
}

// RatesOf gives the spec of a mechanism with every measurement replaced by how
// fast it changes: by the rate given for its field, "left/base_angle" and the
// like, and not at all where none is given. What is left out in the document,
// such as a side that mirrors the other, then comes out with the rate it takes
// over. ok tells whether there is a measurement for each rate.
func (d *Design) RatesOf(mechanism int, rates map[string]float64) (spec Spec, ok bool) {
	spec = d.Mechanisms[mechanism].Spec.Clone()
	given := 0
	for _, n := range spec.numbers() {
		rate, changes := rates[n.path]
		*n.value = rate
		if changes {
			given++
		}
	}
	return spec, given == len(rates)
}

func (d *Design) spreadNumbers() []Number {
	per := d.Units.PerUnit()
	list := []Number{
		{"/paper/caliper", false, &d.Paper.Caliper, per},
		{"/spread/page_width", false, &d.Spread.PageWidth, per},
		{"/spread/page_height", false, &d.Spread.PageHeight, per},
		{"/spread/margin", false, &d.Spread.Margin, per},
		{"/spread/opens_to", true, (*float64)(&d.Spread.OpensTo), per},
	}
	if d.Spread.MaxShutThickness > 0 {
		list = append(list, Number{"/spread/max_shut_thickness", false, &d.Spread.MaxShutThickness, per})
	}
	return list
}

// Point is the pointer of a field of a mechanism.
func Point(mechanism int, field string) string { return pointerTo(mechanism, field) }

// SplitPointer takes the pointer of a field of a mechanism apart.
func SplitPointer(pointer string) (index int, rest string, ok bool) {
	tail, found := strings.CutPrefix(pointer, "/mechanisms/")
	number, rest, cut := strings.Cut(tail, "/")
	index, err := strconv.Atoi(number)
	return index, rest, found && cut && err == nil && index >= 0
}

func (d *Design) fieldAt(pointer string) *Field {
	schema, path := documentSchema, strings.TrimPrefix(pointer, "/")
	if index, rest, ok := SplitPointer(pointer); ok {
		schema, path = d.Mechanisms[index].Info().EntrySchema(), rest
	}
	var f *Field
	for token := range strings.SplitSeq(path, "/") {
		if f = schema.field(token); f == nil {
			return nil
		}
		schema = f.Fields
	}
	return f
}

// Show writes a length in the document's units, as people read it.
func (d *Design) Show(mm float64) string {
	return fmt.Sprintf("%s %s", shortNumber(mm/d.Units.PerUnit()), d.Units)
}

// Consistent tells whether numbers that bound each other still do after a
// change: each extent in order, the margin and the corners within the page.
func (d *Design) Consistent() bool {
	s := d.Spread
	if s.CornerRadius > min(s.PageWidth, s.PageHeight/2) || s.Margin >= min(s.PageWidth, s.PageHeight)/2 {
		return false
	}
	for i := range d.Mechanisms {
		if s, ok := d.Mechanisms[i].Spec.(interface{ consistent() bool }); ok && !s.consistent() {
			return false
		}
		if e, ok := d.Mechanisms[i].Spec.(interface{ extent() (from, to float64) }); ok {
			if from, to := e.extent(); to-from < minLength {
				return false
			}
		}
	}
	return true
}
