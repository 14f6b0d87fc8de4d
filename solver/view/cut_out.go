package view

import (
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// flatPixels is how far a flattened curve may stray from the true one, px:
// below what anti-aliasing shows.
const flatPixels = 0.15

// cutOut is the panels of an assembly as they are cut: the rings of each,
// without what other mechanisms are cut from. It serves any number of pictures.
type cutOut struct {
	a     *kinematics.Assembly
	rings [][][]geom.Vec2 // by panel
}

func newCutOut(a *kinematics.Assembly, width int) *cutOut {
	flat := max(flatPixels*2*a.Design.Spread.PageWidth/float64(width), kinematics.OutlineTolerance)
	c := &cutOut{a: a, rings: make([][][]geom.Vec2, len(a.Panels))}
	for i := range a.Panels {
		for _, ring := range shapeOf(&a.Panels[i]).Flatten(flat) {
			if len(ring) > 2 {
				c.rings[i] = append(c.rings[i], ring)
			}
		}
	}
	return c
}

// shapeOf is the shape of a panel less its openings. An opening that ends at a
// fold shares a side with the outline, which only a true difference takes away;
// outlines too tangled for one keep that side and are filled the same.
func shapeOf(p *kinematics.Panel) geom.Path {
	if len(p.Openings) == 0 {
		return p.Shape
	}
	shape, err := geom.Difference(p.Shape, p.Openings)
	if err != nil {
		n := len(p.Shape)
		return append(p.Shape[:n:n], p.Openings...)
	}
	return shape
}
