package check

import "foldwright/solver/design"

// singularKnobs give the panels more to span with, as for a mechanism that does
// not open, or the hand less to pull.
func singularKnobs(d *design.Design, i int) []knob {
	switch spec := d.Mechanisms[i].Spec.(type) {
	case *design.PivotArm:
		return []knob{{turns: fields(i, -1, "stroke"), verb: "Shorten"}, {turns: fields(i, 1, "link_length"), verb: "Lengthen"}}
	case *design.PullTab:
		knobs := []knob{{turns: fields(i, -1, "stroke"), verb: "Shorten"}}
		if spec.Moves == design.MovesTent {
			knobs = append(knobs, knob{turns: fields(i, 1, "tent/near_width", "tent/far_width"), verb: "Widen"})
		}
		return knobs
	case *design.SlideTent:
		return []knob{
			{turns: fields(i, -1, "travel"), verb: "Reduce"},
			{turns: fields(i, 1, "near_width", "far_width"), verb: "Widen"},
			{turns: spread(-1, "opens_to"), verb: "Reduce"},
		}
	}
	return reachKnobs(d, i)
}

// throughKnobs make base lines and panels agree better, both sides together
// first.
func throughKnobs(d *design.Design, i int) []knob {
	var list []knob
	turnBoth := func(both bool, names ...string) {
		for _, name := range names {
			for _, sign := range []float64{-1, 1} {
				list = append(list, knob{turns: sides(i, both, sign, name), verb: "Change"})
			}
		}
		for _, name := range names {
			for _, sign := range []float64{-1, 1} {
				list = append(list, knob{turns: fields(i, sign, "left/"+name), verb: "Change"})
				if both {
					list = append(list, knob{turns: fields(i, sign, "right/"+name), verb: "Change"})
				}
			}
		}
	}
	switch spec := d.Mechanisms[i].Spec.(type) {
	case *design.VFold:
		turnBoth(spec.Right != nil, "base_angle", "panel_angle")
		list = append(list, knob{
			turns: together(sides(i, spec.Right != nil, -1, "base_angle"), sides(i, spec.Right != nil, 1, "panel_angle")),
			verb:  "Change",
		})
	case *design.CutV:
		turnBoth(spec.Right != nil, "base_angle")
	case *design.ParallelFold:
		turnBoth(spec.Right != nil, "base_offset", "panel_width")
	}
	return append(list, knob{turns: spread(-1, "opens_to"), verb: "Reduce"})
}
