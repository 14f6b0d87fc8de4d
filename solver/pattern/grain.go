package pattern

import (
	"math"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// MainScores are the scores that decide which way the fibres of a part should
// run: those between its panels, or those of its tabs where it has no others.
func (p *Pattern) MainScores(a *kinematics.Assembly, part int) []*Crease {
	in := map[int]bool{}
	for _, placed := range p.Parts[part].Panels {
		in[placed.Panel] = true
	}
	var between, other []*Crease
	for i := range p.Parts[part].Creases {
		c := &p.Parts[part].Creases[i]
		switch {
		case c.Fold == noFold:
		case in[a.Folds[c.Fold].Panels[0]] && in[a.Folds[c.Fold].Panels[1]]:
			between = append(between, c)
		default:
			other = append(other, c)
		}
	}
	if len(between) > 0 {
		return between
	}
	return other
}

// ToGrain is the angle between a crease and the fibres of its part, up to a right
// angle.
func (p *Part) ToGrain(c *Crease) geom.Angle {
	d := c.To.Sub(c.From)
	return geom.Angle(math.Atan2(abs(d.Cross(p.Grain)), abs(d.Dot(p.Grain))))
}

// grainParts turns the fibres of parts along the longer of their main scores:
// paper folds cleaner along them. Those of the page run as its paper is cut.
func (m *maker) grainParts() {
	for part := range m.Parts {
		if len(m.Parts[part].Panels) == 0 || m.a.Panels[m.Parts[part].Panels[0].Panel].Mechanism == kinematics.Spread {
			continue
		}
		along, across := 0.0, 0.0
		for _, c := range m.MainScores(m.a, part) {
			if m.Parts[part].ToGrain(c) <= math.Pi/4 {
				along += c.Length()
			} else {
				across += c.Length()
			}
		}
		if across > along+weldTolerance {
			m.Parts[part].Grain = m.Parts[part].Grain.Perp()
		}
	}
	m.grainFigures()
}

// foldedGrain is the direction of the fibres in a part with its main crease
// along y. Common practice: the grain of a page runs as its paper is cut, that
// of a piece along its main crease.
func (m *maker) foldedGrain(mechanism int) geom.Vec2 {
	if mechanism == kinematics.Spread && m.a.Design.Paper.Grain == design.AcrossGutter {
		return geom.Vec2{X: 1}
	}
	return geom.Vec2{Y: 1}
}

// grainFigures gives figures, discs and slides the grain of what they lie on, so
// that both bend the same way as the air dries or dampens them. Common practice.
// Panels come after the panels they stand on.
func (m *maker) grainFigures() {
	for i := range m.a.Panels {
		owner := m.a.Panels[i].Mechanism
		if owner < 0 {
			continue
		}
		place, ok := placeOnPanel(m.a.Design.Mechanisms[owner].Spec)
		if !ok {
			continue
		}
		host := m.figureHost(i)
		inHost := m.place[host].Inverse().Dir(m.Parts[m.partOf[host]].Grain)
		m.Parts[m.partOf[i]].Grain = m.place[i].Dir(place.Placement().Inverse().Dir(inHost))
	}
}

// place of what lies in the plane of a panel and shows the same face: such a
// part takes the grain of its host. ok is false for everything else.
func placeOnPanel(spec design.Spec) (place design.Place, ok bool) {
	switch s := spec.(type) {
	case *design.Figure:
		return s.Place, true
	case *design.Wheel:
		return s.Place, true
	case *design.PullTab:
		return s.Place, s.Moves == design.MovesSlide
	}
	return design.Place{}, false
}

// grainOf is the direction from a point of a part to the farthest of its
// outline. An arm is stiffest with its fibres along it: common practice.
func grainOf(p *Part, from geom.Vec2) geom.Vec2 {
	best, far := geom.Vec2{Y: 1}, 0.0
	for _, q := range p.Outline.Flatten(flatTolerance)[0] {
		if d := q.Sub(from); d.Norm() > far {
			best, far = d.Unit(), d.Norm()
		}
	}
	return best
}
