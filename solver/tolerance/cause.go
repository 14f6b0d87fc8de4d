package tolerance

import (
	"slices"
	"strings"

	"foldwright/solver/design"
	"foldwright/solver/measure"
)

// Cause is one error: numbers of the document that change together.
type Cause struct {
	ID        string // the pointer of the number, or of the first of them
	Source    Source
	Mechanism int
	// Direction is how much the numbers change, in mm or radians, for an error
	// of one mm or, of paper, one whole.
	Direction measure.Direction
	Half      float64 // the half-width: mm, or a fraction
}

// rule says which step of making a field of a kind comes from.
type rule struct {
	field  string // the last of its path or the whole of it
	source Source
	// lever is the field, beside this one, whose length turns an error at its
	// far end into an angle; empty for lengths.
	lever string
}

// rules are those of all kinds, the first that fits. Fields that are nowhere
// here come from no step of making, such as how far a strip is meant to travel.
var rules = []rule{
	{"left/base_angle", Gluing, "base_length"},
	{"right/base_angle", Gluing, "base_length"},
	{"panel_angle", Scoring, "base_length"},
	{"place/rotate", Gluing, ""},
	{"crank_angle", Cutting, "crank"},
	{"at", Gluing, ""},
	{"place/u", Gluing, ""},
	{"place/v", Gluing, ""},
	{"base_offset", Gluing, ""},
	{"fixed_offset", Gluing, ""},
	{"left_support", Gluing, ""},
	{"right_support", Gluing, ""},
	{"left_offset", Gluing, ""},
	{"right_offset", Gluing, ""},
	{"panel_width", Scoring, ""},
	{"near_width", Scoring, ""},
	{"far_width", Scoring, ""},
	{"height", Scoring, ""},
	{"hinge_length", Cutting, ""},
	{"base_length", Cutting, ""},
	{"ridge_length", Cutting, ""},
	{"left_extent", Cutting, ""},
	{"right_extent", Cutting, ""},
	{"crank", Cutting, ""},
	{"link_length", Cutting, ""},
	{"radius", Cutting, ""},
}

// scored are the kinds that are cut from their host, with nothing glued.
var scored = []design.Kind{"cut_step", "cut_v"}

// turnedAt is the length over which a piece set down askew is off by the error
// of gluing, mm: that of a small figure. Common practice.
const turnedAt = 40

// Causes lists the errors of a design that is written out, in the order of the
// document.
func Causes(d *design.Design, errors Errors) []Cause {
	var list []Cause
	for i := range d.Mechanisms {
		numbers := d.Numbers(i)
		list = append(list, shift(i, numbers, errors)...)
		growth := Cause{ID: design.Point(i, ""), Source: Paper, Mechanism: i, Direction: measure.Direction{}, Half: errors[Paper]}
		growth.ID = strings.TrimSuffix(growth.ID, "/")
		for _, n := range numbers {
			_, field, _ := design.SplitPointer(n.Pointer)
			r := ruleOf(d.Mechanisms[i].Kind, field)
			if r == nil {
				continue
			}
			if !n.Angle && r.source != Gluing {
				growth.Direction[n.Pointer] = inside(n)
			}
			per := 1.0
			if n.Angle {
				per = 1 / leverOf(d, i, field, r)
			}
			list = append(list, Cause{n.Pointer, r.source, i, measure.Direction{n.Pointer: per}, errors[r.source]})
		}
		if len(growth.Direction) > 0 {
			list = append(list, growth)
		}
	}
	return slices.DeleteFunc(list, func(c Cause) bool { return c.Half == 0 })
}

// shift is the error of where along its fold a mechanism with two ends is glued.
func shift(i int, numbers []design.Number, errors Errors) []Cause {
	direction := measure.Direction{}
	for _, name := range []string{"from", "to"} {
		pointer := design.Point(i, name)
		if slices.ContainsFunc(numbers, func(n design.Number) bool { return n.Pointer == pointer }) {
			direction[pointer] = 1
		}
	}
	if len(direction) < 2 {
		return nil
	}
	return []Cause{{design.Point(i, "from"), Gluing, i, direction, errors[Gluing]}}
}

func ruleOf(kind design.Kind, field string) *rule {
	for k := range rules {
		if r := rules[k]; field == r.field || strings.HasSuffix(field, "/"+r.field) {
			if slices.Contains(scored, kind) && r.source == Gluing {
				r.source = Scoring
			}
			return &r
		}
	}
	return nil
}

// leverOf is the length over which an error turns into an angle, mm.
func leverOf(d *design.Design, i int, field string, r *rule) float64 {
	if r.lever == "" {
		return turnedAt
	}
	beside := field[:strings.LastIndex(field, "/")+1] + r.lever
	if n, ok := d.Number(design.Point(i, beside)); ok && n.Get() > 0 {
		return inside(n)
	}
	return turnedAt
}

// inside is a number in mm or radians.
func inside(n design.Number) float64 { return n.Get() * n.Scale() }
