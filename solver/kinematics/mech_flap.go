package kinematics

import (
	"math"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// flap poses a cover hinged on a panel.
//
// Frame. The flap's own frame has its origin at the start of the hinge, u along
// the hinge and v away from it. At driver angle 0 it lies on the panel, v in
// the panel's plane as placed; it turns up on the panel's printed side, with w
// the unit normal on that side:
//
//	v(θ) = cos θ·v(0) + sin θ·w,   θ from 0 to opens_to, at most 180 degrees
//
// The fold hinge has the panel beyond the hinge on one side and the flap on the
// other; its dihedral on the printed side is 180 degrees less θ. No singular
// configuration.
type flap struct {
	host, panel, hinge int
	driver             int
	place              geom.Placement
	printed            float64
}

func compileFlap(c *compiler, i int, m *design.Mechanism, spec *design.Flap) poser {
	host := c.panels[m.On.Panel]
	f := &flap{host: host, place: spec.Place.Placement(), printed: c.Panels[host].Printed, driver: c.driver(m, "angle")}
	f.panel = c.addPanel(i, m.ID+".flap", flapShape(spec))

	along, away := f.place.Dir(geom.Vec2{X: 1}), f.place.Dir(geom.Vec2{Y: 1})
	beyond := Face{Panel: host, Origin: f.place.T, Along: along, Away: away.Mul(-1)}
	own := Face{Panel: f.panel, Along: geom.Vec2{X: 1}, Away: geom.Vec2{Y: 1}}
	fold := Fold{
		ID: m.ID + ".hinge", Mechanism: i, Role: BaseFold, Length: spec.HingeLength,
		Left: own, Right: beyond, Panels: [2]int{host, f.panel},
	}
	if f.printed < 0 {
		fold.Left, fold.Right = beyond, own
	}
	f.hinge = c.addFold(fold)
	return f
}

func flapShape(spec *design.Flap) geom.Path {
	start, end := geom.Vec2{}, geom.Vec2{X: spec.HingeLength}
	outline := geom.Contour{Closed: true, Segments: []geom.Segment{line(end)}}
	if spec.Profile != nil {
		outline.Segments = append(outline.Segments, freeEdge(spec.Profile, end, start)...)
		return geom.Path{outline}
	}
	outline.Segments = append(outline.Segments,
		line(geom.Vec2{X: spec.HingeLength, Y: spec.Depth}), line(geom.Vec2{Y: spec.Depth}))
	return geom.Path{outline}
}

func (f *flap) pose(p *Pose) Reach {
	host := &p.Panels[f.host]
	flat := host.Placed(f.place)
	up := host.Normal().Mul(f.printed)
	sin, cos := math.Sincos(p.Drive.Hand[f.driver])
	p.Panels[f.panel] = geom.Frame{Origin: flat.Origin, X: flat.X, Y: geom.Combine(cos, flat.Y, sin, up)}
	if p.a.hinged[f.hinge] {
		left, right := p.Panels[f.panel].Y, flat.Y.Neg()
		if f.printed < 0 {
			left, right = right, left
		}
		p.hinges[f.hinge] = makeHinge(flat.Origin, flat.X, left, right)
	}
	return Reached
}
