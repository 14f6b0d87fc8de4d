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
	shape, err := geom.Difference(p.Shape, p.Openings)
	if err != nil {
		return append(slices.Clip(p.Shape), p.Openings...)
	}
	return shape
}
