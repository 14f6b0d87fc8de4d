package paper

import (
	"slices"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// Shape is the shape of a panel less its openings. An opening that ends at a
// fold shares a side with the outline, which only a true difference takes away;
// outlines too tangled for one keep that side and are filled the same by the
// even-odd rule.
func Shape(p *kinematics.Panel) geom.Path {
	if len(p.Openings) == 0 {
		return p.Shape
	}
	taken, err := geom.Union(byMechanism(p)...)
	if err == nil {
		var shape geom.Path
		if shape, err = geom.Difference(p.Shape, taken); err == nil {
			return shape
		}
	}
	return append(slices.Clip(p.Shape), p.Openings...)
}

// byMechanism parts the openings by what made them: where two mechanisms open
// the same place, it is open, though the even-odd rule would fill it again.
func byMechanism(p *kinematics.Panel) []geom.Path {
	var out []geom.Path
	for i := range p.Openings {
		if i > 0 && p.OpenedBy[i] == p.OpenedBy[i-1] {
			out[len(out)-1] = append(out[len(out)-1], p.Openings[i])
		} else {
			out = append(out, p.Openings[i:i+1:i+1])
		}
	}
	return out
}
