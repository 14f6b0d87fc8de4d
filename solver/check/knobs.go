package check

import (
	"slices"
	"strings"

	"foldwright/solver/design"
	"foldwright/solver/finding"
)

// knobsFor lists the changes worth trying for a finding, the most natural
// first.
func knobsFor(d *design.Design, f *finding.Finding) []knob {
	switch f.Code {
	case finding.CannotShut, finding.NotFlatWhenShut:
		return append(matchingKnobs(d, f.Mechanism), reachKnobs(d, f.Mechanism)...)
	case finding.CannotOpenFully:
		return reachKnobs(d, f.Mechanism)
	case finding.TravelNotReached, finding.AnchorOffPage, finding.StripCollides:
		return stripKnobs(d, f)
	case finding.EndsMeet:
		return endsKnobs(d, f.Mechanism)
	case finding.NearSingular:
		return singularKnobs(d, f.Mechanism)
	case finding.ThroughHost:
		return throughKnobs(d, f.Mechanism)
	case finding.LayersTrapped, finding.GluedTwice:
		return append(moveKnobs(d, f.Mechanism), shrinkKnobs(d, f.Mechanism)...)
	case finding.StackTooThick, finding.ThicknessMatters:
		return []knob{{turns: []turn{{pointer: "/paper/caliper", sign: -1}}, verb: "Reduce"}}
	case finding.PanelsCollide, finding.ClearanceUndecided:
		return apartKnobs(d, f.Mechanism)
	case finding.StackUndecided:
		return nil
	case finding.GrainAgainstScore:
		return grainKnobs(d)
	}
	if f.Code.OfParts() {
		return partsKnobs(d, f)
	}
	return boundsKnobs(d, f.Mechanism, f.Code)
}

// apartKnobs move or shrink the mechanism, or what it stands on, out of the way of
// another. What is moved by hand is moved less far, and a sliding tent that rises
// faster than the page does is drawn less.
func apartKnobs(d *design.Design, i int) []knob {
	list := down(d, i, "Reduce", "stroke")
	if _, ok := d.Mechanisms[i].Spec.(*design.Flap); ok {
		list = append(list, knob{turns: fields(i, -1, "opens_to"), verb: "Reduce"})
	}
	if _, ok := d.Mechanisms[i].Spec.(*design.SlideTent); ok {
		list = append(list,
			knob{turns: fields(i, -1, "travel"), verb: "Reduce"},
			knob{turns: fields(i, 1, "fixed_offset"), verb: "Increase"})
	}
	return append(list, boundsKnobs(d, i, finding.PanelsCollide)...)
}

// fields are fields of one mechanism, all turned the same way.
func fields(i int, sign float64, names ...string) []turn {
	turns := make([]turn, len(names))
	for n, name := range names {
		turns[n] = turn{pointer: design.Point(i, name), sign: sign}
	}
	return turns
}

// sides are the same field of both panels, or of the left one alone when the
// right mirrors it.
func sides(i int, both bool, sign float64, field string) []turn {
	if both {
		return fields(i, sign, "left/"+field, "right/"+field)
	}
	return fields(i, sign, "left/"+field)
}

func spread(sign float64, names ...string) []turn {
	turns := make([]turn, len(names))
	for n, name := range names {
		turns[n] = turn{pointer: "/spread/" + name, sign: sign}
	}
	return turns
}

func together(a, b []turn) []turn { return append(append([]turn{}, a...), b...) }

// Outward is +1 when the shut panels of a mechanism naturally lie beyond their
// base lines, seen from the fold, and -1 when they lie on the near side: on a
// V-fold that leans toward, and over a ridge, whose faces are folded right
// round when it is shut.
func Outward(m *design.Mechanism) float64 {
	sign := 1.0
	if spec, ok := m.Spec.(*design.VFold); ok && spec.Lean == design.Toward {
		sign = -1
	}
	if strings.HasSuffix(m.On.Fold, ".ridge") && m.On.Side == design.Outer {
		sign = -sign
	}
	return sign
}

func setAll(turns ...turn) knob { return knob{turns: turns, exact: true, verb: "Set"} }

// matchingKnobs set one number so that both sides match, panels before base
// lines, the right side before the left; then so that they are flush on a host
// that is flat when the pages are shut; at last they make one side the mirror
// of the other.
func matchingKnobs(d *design.Design, i int) []knob {
	to := func(field string, value float64) turn {
		return turn{pointer: design.Point(i, field), value: value}
	}
	set := func(field string, value float64) knob { return setAll(to(field, value)) }
	sign := Outward(&d.Mechanisms[i])
	switch spec := d.Mechanisms[i].Spec.(type) {
	case *design.VFold:
		l, r := spec.Sides()
		a1, a2 := l.BaseAngle.Degrees(), r.BaseAngle.Degrees()
		b1, b2 := l.PanelAngle.Degrees(), r.PanelAngle.Degrees()
		if spec.Right == nil {
			return []knob{set("left/panel_angle", a1)}
		}
		return []knob{
			set("right/panel_angle", b1+sign*(a1-a2)),
			set("left/panel_angle", b2+sign*(a2-a1)),
			set("right/base_angle", a1+sign*(b1-b2)),
			set("left/base_angle", a2+sign*(b2-b1)),
			set("right/panel_angle", a1+a2-b1),
			set("left/panel_angle", a1+a2-b2),
			setAll(to("right/base_angle", a1), to("right/panel_angle", b1)),
			setAll(to("left/base_angle", a2), to("left/panel_angle", b2)),
		}
	case *design.ParallelFold:
		l, r := spec.Sides()
		per := d.Units.PerUnit()
		a1, a2 := l.BaseOffset/per, r.BaseOffset/per
		p1, p2 := l.PanelWidth/per, r.PanelWidth/per
		if spec.Right == nil {
			return []knob{set("left/panel_width", a1)}
		}
		return []knob{
			set("right/panel_width", p1+sign*(a1-a2)),
			set("left/panel_width", p2+sign*(a2-a1)),
			set("right/base_offset", a1+sign*(p1-p2)),
			set("left/base_offset", a2+sign*(p2-p1)),
			set("right/panel_width", a1+a2-p1),
			set("left/panel_width", a1+a2-p2),
			setAll(to("right/base_offset", a1), to("right/panel_width", p1)),
			setAll(to("left/base_offset", a2), to("left/panel_width", p2)),
		}
	}
	return nil
}

// reachKnobs give the panels more to span with, both by the same amount so that
// sides that match go on matching; then bring the base lines together; then
// open the spread less.
func reachKnobs(d *design.Design, i int) []knob {
	openLess := knob{turns: spread(-1, "opens_to"), verb: "Reduce"}
	switch spec := d.Mechanisms[i].Spec.(type) {
	case *design.VFold:
		both := spec.Right != nil
		return []knob{
			{turns: sides(i, both, 1, "panel_angle"), verb: "Widen"},
			{turns: sides(i, both, -1, "base_angle"), verb: "Reduce"},
			{turns: sides(i, both, 1, "base_angle"), verb: "Increase"},
			openLess,
		}
	case *design.ParallelFold:
		both := spec.Right != nil
		return []knob{
			{turns: sides(i, both, 1, "panel_width"), verb: "Widen"},
			{turns: sides(i, both, -1, "base_offset"), verb: "Reduce"},
			openLess,
		}
	case *design.SlideTent:
		return []knob{
			{turns: fields(i, -1, "travel"), verb: "Reduce"},
			{turns: fields(i, 1, "near_width"), verb: "Widen"},
			{turns: fields(i, 1, "far_width"), verb: "Widen"},
			{turns: fields(i, 1, "near_width", "far_width"), verb: "Widen"},
			openLess,
		}
	}
	return []knob{openLess}
}

// boundsKnobs make the mechanism smaller, then move it, then both, or move it
// first when it is rigid; then do the same to what it stands on; then enlarge
// the page.
func boundsKnobs(d *design.Design, i int, code finding.Code) []knob {
	var list []knob
	near := withHosts(d, i)
	for _, at := range near[:min(len(near), generationsTried)] {
		shrink, move := shrinkKnobs(d, at), moveKnobs(d, at)
		if rigid(d, at) {
			list = append(append(list, move...), shrink...)
		} else {
			list = append(append(list, shrink...), move...)
		}
		for _, m := range move {
			for _, turns := range m.ways() {
				for _, s := range shrink {
					list = append(list, knob{turns: together(turns, s.turns), verb: "Change"})
				}
			}
		}
	}
	for _, names := range [][]string{{"page_width"}, {"page_height"}, {"page_width", "page_height"}} {
		list = append(list, knob{turns: spread(1, names...), verb: "Enlarge"})
	}
	if code == finding.InsideMargin {
		list = append(list, knob{turns: spread(-1, "margin"), verb: "Reduce"})
	}
	return list
}

// rigid tells whether a mechanism is rather moved than made smaller: one whose
// size is what it holds.
func rigid(d *design.Design, i int) bool {
	switch d.Mechanisms[i].Spec.(type) {
	case *design.Box, *design.FloatingLayer, *design.CutStep, *design.CutV:
		return true
	}
	return false
}

// generationsTried is how far down the hosts of a mechanism are changed for its
// sake; further down the change is felt all over the spread.
const generationsTried = 3

// withHosts lists a mechanism and what it stands on, nearest first.
func withHosts(d *design.Design, i int) []int {
	list := []int{i}
	for n := 0; n < len(list); n++ {
		for _, host := range d.HostsOf(list[n]) {
			if !slices.Contains(list, host) {
				list = append(list, host)
			}
		}
	}
	return list
}

func shrinkKnobs(d *design.Design, i int) []knob {
	switch spec := d.Mechanisms[i].Spec.(type) {
	case *design.VFold:
		return shortenV(i, spec.Right != nil)
	case *design.ParallelFold:
		both := spec.Right != nil
		widths, offsets := sides(i, both, -1, "panel_width"), sides(i, both, -1, "base_offset")
		return append([]knob{
			{turns: widths, verb: "Narrow"},
			{turns: offsets, verb: "Reduce"},
			{turns: together(widths, offsets), verb: "Reduce"},
		}, extentKnobs(i)...)
	case *design.Strap, *design.CutStep:
		return append([]knob{
			{turns: fields(i, -1, "left_offset", "right_offset"), verb: "Reduce"},
			{turns: fields(i, -1, "left_offset"), verb: "Reduce"},
			{turns: fields(i, -1, "right_offset"), verb: "Reduce"},
		}, extentKnobs(i)...)
	case *design.CutV:
		return shortenV(i, spec.Right != nil)
	case *design.FloatingLayer, *design.Box, *design.SlideTent:
		return uprightShrinkKnobs(d, i)
	}
	return nil
}

// shortenV makes a V smaller, folded or cut.
func shortenV(i int, both bool) []knob {
	ridge, bases := fields(i, -1, "ridge_length"), sides(i, both, -1, "base_length")
	return []knob{
		{turns: ridge, verb: "Shorten"},
		{turns: bases, verb: "Shorten"},
		{turns: together(ridge, bases), verb: "Shorten"},
	}
}

func extentKnobs(i int) []knob {
	return []knob{
		{turns: fields(i, -1, "to"), verb: "Bring back"},
		{turns: fields(i, 1, "from"), verb: "Bring forward"},
	}
}

func moveKnobs(d *design.Design, i int) []knob {
	var groups [][]string
	switch d.Mechanisms[i].Spec.(type) {
	case *design.VFold, *design.CutV:
		groups = [][]string{{"at"}}
	case *design.ParallelFold, *design.Strap, *design.CutStep, *design.FloatingLayer, *design.Box:
		groups = [][]string{{"from", "to"}}
	case *design.SlideTent:
		groups = [][]string{{"from", "to"}}
		if _, ok := d.Number(design.Point(i, "strip/at")); ok {
			groups = [][]string{{"from", "to", "strip/at"}}
		}
	case *design.Figure, *design.Flap, *design.Wheel, *design.PullTab, *design.PivotArm:
		groups = [][]string{{"place/v"}, {"place/u"}, {"place/u", "place/v"}}
	}
	list := make([]knob, len(groups))
	for g, names := range groups {
		list[g] = knob{turns: fields(i, 1, names...), eitherWay: true, verb: "Move"}
	}
	return list
}
