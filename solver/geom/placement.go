package geom

import "math"

// Placement is a similarity of the plane: scale and turn by (C, S), mirrored
// first in the x axis when Mirror is set, then moved by T.
//
//	p' = T + [C -S; S C]·(x, ±y)
type Placement struct {
	C, S   float64
	Mirror bool
	T      Vec2
}

// Identity leaves every point where it is.
var Identity = Placement{C: 1}

// Move is the translation by t.
func Move(t Vec2) Placement { return Placement{C: 1, T: t} }

// Turn is the anticlockwise rotation by a about the origin.
func Turn(a Angle) Placement {
	s, c := a.Sincos()
	return Placement{C: c, S: s}
}

// Scale is the uniform scaling by k > 0 about the origin.
func Scale(k float64) Placement { return Placement{C: k} }

// Onto maps the origin to `at` and the x axis to the unit direction u. The y
// axis goes to u turned a quarter anticlockwise, or clockwise when mirrored.
func Onto(at, u Vec2, mirror bool) Placement {
	return Placement{C: u.X, S: u.Y, Mirror: mirror, T: at}
}

// Apply maps a point.
func (m Placement) Apply(p Vec2) Vec2 { return m.T.Add(m.Dir(p)) }

// Dir maps a direction.
func (m Placement) Dir(d Vec2) Vec2 {
	if m.Mirror {
		d.Y = -d.Y
	}
	return Vec2{m.C*d.X - m.S*d.Y, m.S*d.X + m.C*d.Y}
}

// Then is the placement that applies m first and then n.
func (m Placement) Then(n Placement) Placement {
	u := n.Dir(Vec2{m.C, m.S})
	return Placement{C: u.X, S: u.Y, Mirror: m.Mirror != n.Mirror, T: n.Apply(m.T)}
}

// Factor is the scale.
func (m Placement) Factor() float64 { return math.Hypot(m.C, m.S) }

// Inverse undoes m.
func (m Placement) Inverse() Placement {
	k := m.C*m.C + m.S*m.S
	inv := Placement{C: m.C / k, S: -m.S / k, Mirror: m.Mirror}
	if m.Mirror {
		inv.S = m.S / k
	}
	inv.T = inv.Dir(m.T).Mul(-1)
	return inv
}
