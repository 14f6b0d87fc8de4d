package kinematics

import (
	"math"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// pivotArm poses an arm swung by a strip: an in-line slider-crank.
//
// Frame. The frame of the place: origin at the pivot, x along the pull. With r
// the crank, ℓ the link, θ the angle of the crank from x, the strip is at
//
//	x(θ) = r·cos θ + √(ℓ² - r²·sin² θ)
//
// (the in-line slider-crank, e.g. Norton, Design of Machinery, from memory).
// A pull s moves it to x = x(θ0) + s, so
//
//	cos θ = (x² + r² - ℓ²) / (2·x·r),   0 ≤ θ ≤ 180 degrees
//
// and the arm has turned by θ - θ0 from rest, towards the pull. The joint is on
// the positive side of x throughout.
//
// Singular: θ = 0, crank and link in one line, where x = r + ℓ is the most the
// strip can be pulled.
type pivotArm struct {
	host, panel, driver, strip int
	place                      geom.Placement
	crank, link                float64
	rest, slider               float64 // θ0 and x(θ0)
	stripLength                float64
}

func compilePivotArm(c *compiler, i int, m *design.Mechanism, spec *design.PivotArm) poser {
	host := c.panels[m.On.Panel]
	a := &pivotArm{
		host: host, driver: c.driver(m, "pull"), strip: c.addStrip(i, m.ID+".strip", spec.StripWidth),
		place: spec.Place.Placement(),
		crank: spec.Crank, link: spec.LinkLength,
		rest: float64(spec.CrankAngle), slider: spec.Slider(), stripLength: spec.StripLength,
	}
	c.Strips[a.strip].Behind = true // link and strip; only the arm is seen
	a.panel = c.addPanel(i, m.ID+".arm", spec.Outline)
	c.Panels[a.panel].Printed = c.Panels[host].Printed
	return a
}

func (a *pivotArm) pose(p *Pose) Reach {
	pull := p.Drive.Hand[a.driver]
	x := a.slider + pull
	cos := (x*x + a.crank*a.crank - a.link*a.link) / (2 * x * a.crank)
	if cos > 1+reachRounding {
		return LockedOpen
	}
	if cos < -1-reachRounding {
		return LockedShut
	}
	theta := math.Acos(min(max(cos, -1), 1))
	host := &p.Panels[a.host]
	turn := geom.Turn(geom.Angle(theta - a.rest))
	p.Panels[a.panel] = host.Placed(turn.Then(a.place))

	joint := geom.Vec2{X: a.crank * math.Cos(theta), Y: a.crank * math.Sin(theta)}
	p.Strips[a.strip].set(pull,
		host.At(a.place.Apply(joint)),
		host.At(a.place.Apply(geom.Vec2{X: x})),
		host.At(a.place.Apply(geom.Vec2{X: x + a.stripLength})))
	return Reached
}
