package kinematics

import (
	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// compilePullTab makes a strip pulled by hand and what it moves.
func compilePullTab(c *compiler, i int, m *design.Mechanism, spec *design.PullTab) poser {
	pull := pulled{
		host: c.panels[m.On.Panel], driver: c.driver(m, "pull"),
		strip: c.addStrip(i, m.ID+".strip", spec.StripWidth),
		place: spec.Place.Placement(), length: spec.StripLength,
	}
	if spec.Moves == design.MovesTent {
		return newPulledTent(c, i, m, spec, pull)
	}
	c.Strips[pull.strip].Behind = true // a slide hides the slot it is drawn along
	s := &pulledSlide{pulled: pull, panel: c.addPanel(i, m.ID+".slide", spec.Outline)}
	c.Panels[s.panel].Printed = c.Panels[s.host].Printed
	return s
}

// pulled is a strip pulled along x of a place on a panel.
type pulled struct {
	host, driver, strip int
	place               geom.Placement
	length              float64
}

// lay puts the strip from the given x, at the given y, to its grip.
func (s *pulled) lay(p *Pose, pull, x, y float64) {
	host := &p.Panels[s.host]
	p.Strips[s.strip].set(pull,
		host.At(s.place.Apply(geom.Vec2{X: x, Y: y})),
		host.At(s.place.Apply(geom.Vec2{X: x + s.length, Y: y})))
}

// pulledSlide poses a slide: it moves along x of the place, by the pull, in the
// plane of its panel. No singular configuration.
type pulledSlide struct {
	pulled
	panel int
}

func (s *pulledSlide) pose(p *Pose) Reach {
	pull := p.Drive.Hand[s.driver]
	p.Panels[s.panel] = p.Panels[s.host].Placed(geom.Move(geom.Vec2{X: pull}).Then(s.place))
	s.lay(p, pull, pull, 0)
	return Reached
}

// pulledTent poses a tent raised by drawing its far edge in.
//
// Frame. The frame of the place: x along the pull, the fixed edge on y from 0 to
// the tent's length. Before the pull the tent lies flat from x = 0 back to
// x = -(n+f), n the near and f the far width, on the panel's printed side. A pull
// τ draws its base together as tent says, its near end at the fixed edge and v
// running against x.
type pulledTent struct {
	pulled
	tent
	near, far int
	nearBase  int     // the ridge follows
	half      float64 // middle of the edges, where the strip is
	printed   float64
}

func newPulledTent(c *compiler, i int, m *design.Mechanism, spec *design.PullTab, pull pulled) poser {
	t := &pulledTent{
		pulled: pull, tent: newTent(spec.NearWidth, spec.FarWidth, spec.NearWidth+spec.FarWidth),
		half: spec.Along / 2, printed: c.Panels[pull.host].Printed,
	}
	t.near = c.addPanel(i, m.ID+".near", rectangle(spec.Along, spec.NearWidth))
	t.far = c.addPanel(i, m.ID+".far", rectangle(spec.Along, spec.FarWidth))

	// The near panel lies against the pull when flat, so what is outside the
	// mechanism is on the side of the pull.
	along, away := t.place.Dir(geom.Vec2{Y: 1}), t.place.Dir(geom.Vec2{X: 1})
	host := Face{Panel: pull.host, Origin: t.place.T, Along: along, Away: away}
	near := Face{Panel: t.near, Along: geom.Vec2{X: 1}, Away: geom.Vec2{Y: 1}}
	base := Fold{
		ID: m.ID + ".near_base", Mechanism: i, Role: BaseFold, Length: spec.Along,
		Left: near, Right: host, Panels: [2]int{pull.host, t.near},
	}
	if t.printed < 0 {
		base.Left, base.Right = host, near
	}
	t.nearBase = c.addFold(base)
	ridge := [2]Face{ridgeAcross(t.near, spec.NearWidth), ridgeAcross(t.far, spec.FarWidth)}
	left := 0
	if t.printed < 0 {
		left = 1
	}
	c.addFold(Fold{
		ID: m.ID + ".ridge", Mechanism: i, Role: RidgeFold, Length: spec.Along,
		Left: ridge[left], Right: ridge[1-left], Panels: [2]int{t.near, t.far},
	})
	c.Panels[t.far].Printed = -c.Panels[t.near].Printed
	return t
}

func rectangle(long, wide float64) geom.Path { return geom.Rect(0, 0, long, wide) }

func (t *pulledTent) pose(p *Pose) Reach {
	pull := p.Drive.Hand[t.driver]
	v, height, base, ok := t.ridge(pull)
	if !ok {
		return LockedShut
	}
	host := &p.Panels[t.host]
	up := host.Normal().Mul(t.printed)
	at := func(x, height float64) geom.Vec3 {
		return host.At(t.place.Apply(geom.Vec2{X: x})).Add(up.Mul(height))
	}
	along := host.Dir(t.place.Dir(geom.Vec2{Y: 1}))
	fixed, ridge, drawn := at(0, 0), at(-v, height), at(-base, 0)
	p.Panels[t.near] = geom.Frame{Origin: fixed, X: along, Y: ridge.Sub(fixed).Mul(1 / t.n)}
	p.Panels[t.far] = geom.Frame{Origin: drawn, X: along, Y: ridge.Sub(drawn).Mul(1 / t.f)}
	t.lay(p, pull, -base, t.half)
	t.poseFolds(p, ridge, along)
	return Reached
}

func (t *pulledTent) poseFolds(p *Pose, ridge, along geom.Vec3) {
	near, far := &p.Panels[t.near], &p.Panels[t.far]
	if p.a.hinged[t.nearBase] {
		out := p.Panels[t.host].Dir(t.place.Dir(geom.Vec2{X: 1}))
		p.hinges[t.nearBase] = t.ordered(near.Origin, along, near.Y, out)
	}
	if p.a.hinged[t.nearBase+1] {
		p.hinges[t.nearBase+1] = t.ordered(ridge, along, near.Y.Neg(), far.Y.Neg())
	}
}

// ordered makes a hinge from its faces as they lie on a panel printed on the
// side u × v points to; on the other side it is the mirror image.
func (t *pulledTent) ordered(origin, along, left, right geom.Vec3) Hinge {
	if t.printed < 0 {
		left, right = right, left
	}
	return makeHinge(origin, along, left, right)
}
