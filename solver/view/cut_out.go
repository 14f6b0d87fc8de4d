package view

import (
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/paper"
)

// flatPixels is how far a flattened curve may stray from the true one, px:
// below what anti-aliasing shows.
const flatPixels = 0.15

// cutOut is the panels of an assembly as they are cut: the rings of each,
// without what other mechanisms are cut from. It serves any number of pictures.
type cutOut struct {
	a     *kinematics.Assembly
	watch *watch
	look  func(sheet string) Look
	rings [][][]geom.Vec2 // by panel
}

func newCutOut(a *kinematics.Assembly, width int, o *Options) *cutOut {
	flat := max(flatPixels*2*a.Design.Spread.PageWidth/float64(width), kinematics.OutlineTolerance)
	c := &cutOut{a: a, watch: &watch{stop: o.Stop}, look: o.Look, rings: make([][][]geom.Vec2, len(a.Panels))}
	for i := range a.Panels {
		for _, ring := range paper.Shape(&a.Panels[i]).Flatten(flat) {
			if len(ring) > 2 {
				c.rings[i] = append(c.rings[i], ring)
			}
		}
	}
	return c
}

// lookOf is how a panel or strip is drawn.
func (c *cutOut) lookOf(sheet string) Look {
	if c.look == nil {
		return Plain
	}
	return c.look(sheet)
}
