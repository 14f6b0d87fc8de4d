package measure

import (
	"math"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// Rates are those of what decided the value in the pose: of a least or greatest
// of several they are right as long as the same one decides (the envelope
// theorem), and one-sided where another takes over.

// leastSine is the sine below which two directions count as the same or as
// opposite, where the angle between them turns round: far above its rounding.
const leastSine = 1e-9

// Rate is how fast a measure that was taken in the rate's pose changes, in mm or
// radians per unit of what the rate was taken by; NaN where there is no rate.
func (g *Gauge) Rate(t *Taken, p *kinematics.Pose, r *kinematics.Rate) float64 {
	if math.IsNaN(t.Value) || !g.rated(t.m, r) {
		return math.NaN()
	}
	switch m := t.m; m.Kind {
	case Height:
		switch {
		case m.points[0].on != noPoint:
			return m.points[0].velocity(r).Z
		case t.panel < 0:
			return 0
		}
		return r.VertexRate(t.panel, t.corner).Z
	case Across:
		return m.points[0].velocity(r).X
	case Along:
		return m.points[0].velocity(r).Y
	case Fold:
		return r.FoldAngle(m.index)
	case Tilt:
		return turningRate(g.printedNormal(p, m.index), geom.Vec3{Z: 1}, g.normalRate(p, r, m.index), geom.Vec3{})
	case Lean:
		return turningRate(g.printedNormal(p, m.index), g.printedNormal(p, m.page), g.normalRate(p, r, m.index), g.normalRate(p, r, m.page))
	case Travel:
		return r.Travel(m.index)
	case Inset:
		return t.slope.Dot(r.VertexRate(t.panel, t.corner)) + g.pageRate(r, t.slope)
	case Distance:
		gap := m.points[1].position(g.a, p).Sub(m.points[0].position(g.a, p)).Unit()
		return gap.Dot(m.points[1].velocity(r).Sub(m.points[0].velocity(r)))
	default:
		return t.slope.Dot(g.contactRate(&t.near[0], p, r).Sub(g.contactRate(&t.near[1], p, r)))
	}
}

func (g *Gauge) rated(m *Measure, r *kinematics.Rate) bool {
	list, all := m.Mechanisms(g.a)
	if all {
		return r.AllExist
	}
	for _, i := range list {
		if !r.Exists[i] {
			return false
		}
	}
	return true
}

func (g *Gauge) normalRate(p *kinematics.Pose, r *kinematics.Rate, panel int) geom.Vec3 {
	f, rate := &p.Panels[panel], &r.Panels[panel]
	return rate.X.Cross(f.Y).Add(f.X.Cross(rate.Y)).Mul(g.a.Panels[panel].Printed)
}

// turningRate is the rate of the angle between two unit vectors. Where they
// coincide the angle can only grow, where they are opposite only shrink.
func turningRate(a, b, rateA, rateB geom.Vec3) float64 {
	sin := a.Cross(b).Norm()
	if sin < leastSine {
		side := math.Copysign(1, a.Dot(b))
		return side * rateA.Sub(rateB.Mul(side)).Norm()
	}
	return -(rateA.Dot(b) + a.Dot(rateB)) / sin
}

// onEdge is how near, in mm, a point must be to a side of an outline to be on
// it: the accuracy of the outline itself, since the sides of a shape with
// openings are followed anew.
const onEdge = 2 * kinematics.OutlineTolerance

// contactRate is the velocity of a point of a panel. On the outline it goes with
// the two corners it is between; elsewhere, as on the rim of an opening, it
// keeps its place in the panel.
func (g *Gauge) contactRate(c *contact, p *kinematics.Pose, r *kinematics.Rate) geom.Vec3 {
	carried := r.Panels[c.panel].At(c.at)
	outline := g.a.Panels[c.panel].Outline
	for i, from := range outline {
		k := (i + 1) % len(outline)
		to := outline[k]
		if geom.PointSegmentDistance(c.at, from, to) > onEdge {
			continue
		}
		along := to.Sub(from)
		part := 0.0
		if square := along.Dot(along); square > 0 {
			part = min(1, max(0, c.at.Sub(from).Dot(along)/square))
		}
		flat := r.FlatRate(c.panel, i).Lerp(r.FlatRate(c.panel, k), part)
		return carried.Add(p.Panels[c.panel].Dir(flat))
	}
	return carried
}
