package kinematics

import (
	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// compileCutStep makes a step cut from its host. It moves as the strap of the
// same offsets, which lies in the sheet when the host fold is flat: there the
// left panel reaches from a1 on the left face to a2 - a1 past the fold, the
// right one from there to a2.
func compileCutStep(c *compiler, i int, m *design.Mechanism, spec *design.CutStep) poser {
	f := compileStrap(c, i, m, &spec.Strap)
	c.cutOpenings(i, &f.(*parallelFold).twoPanel)
	return f
}

// compileCutV makes a V cut from its host: the V-fold with b1 = a2 and b2 = a1 in
// the notation of vFold. Then a1+b1 = a2+b2, so it shuts flat, and a1+a2 =
// b1+b2, so it lies in the sheet when the host fold is flat.
func compileCutV(c *compiler, i int, m *design.Mechanism, spec *design.CutV) poser {
	left, right := spec.Sides()
	v := newVFold(c, i, m, vShape{at: spec.At, ridgeLength: spec.RidgeLength, lean: 1}, left, right)
	c.cutOpenings(i, &v.(*vFold).twoPanel)
	return v
}

// cutOpenings notes what a mechanism cut from its host leaves open there. In
// the sheet, each panel lies from its base line across the part of the host it
// is cut from, and past the fold; the part of it on each side of the fold is an
// opening in that face.
func (c *compiler) cutOpenings(mechanism int, t *twoPanel) {
	faces := [2]*Face{&t.host.left, &t.host.right}
	for side, panel := range [2]int{t.left, t.right} {
		base := &c.Folds[t.leftBase+2*side]
		host := base.Left
		if host.Panel == panel {
			host = base.Right
		}
		own := faces[side]
		ring := make([]geom.Vec2, len(c.Panels[panel].Outline)) // along the fold, away from it on the panel's side
		for k, p := range c.Panels[panel].Outline {
			q := host.at(p.X, -p.Y).Sub(own.Origin)
			ring[k] = geom.Vec2{X: q.Dot(own.Along), Y: q.Dot(own.Away)}
		}
		c.addOpening(mechanism, own, geom.ClipPolygon(ring, geom.Vec2{}, geom.Vec2{Y: 1}))
		for k := range ring {
			ring[k].Y = -ring[k].Y
		}
		c.addOpening(mechanism, faces[1-side], geom.ClipPolygon(ring, geom.Vec2{}, geom.Vec2{Y: 1}))
	}
}

func (c *compiler) addOpening(mechanism int, face *Face, ring []geom.Vec2) {
	if len(ring) < 3 {
		return
	}
	for k, p := range ring {
		ring[k] = face.at(p.X, p.Y)
	}
	c.open(face.Panel, mechanism, geom.PolylinePath(ring, true))
}
