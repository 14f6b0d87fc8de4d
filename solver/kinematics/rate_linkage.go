package kinematics

import (
	"math"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// A linkage solves F(u, hosts) = 0 for the unknowns u of its tree. By the
// implicit function theorem
//
//	u' = -(∂F/∂u)⁻¹·F'
//
// with F' the rate of the equations while the tree is held stiff and carried
// along by its hosts. Both are at hand: ∂F/∂u is what Newton's method uses, and F'
// is bilinear in frames whose rates are carried from parent to child.
//
// Where ∂F/∂u lacks rank there is no derivative: shut, where two closures meet,
// and in a linkage that its loops leave free to move.

// vary: a linkage has no measurement that could change alone.
func (l *linkage) vary(design.Spec, *shapeRate) any { return nil }

func (l *linkage) rate(p *Pose, r *Rate, _ any) bool {
	w := &p.linkages[l.work]
	for i := range w.step {
		w.step[i] = 0
	}
	l.carry(p, r, w)
	if len(l.loops) == 0 {
		return l.unknowns == 0
	}
	l.derive(p, w)
	l.drift(p, r, w)
	w.qr.solve(w.slopes, w.rest, w.step)
	if w.qr.rank < l.unknowns {
		return false
	}
	for i := range w.step {
		w.step[i] = -w.step[i]
	}
	l.carry(p, r, w)
	return true
}

// lineRate is how a joint, as one of its panels has it, moves in the world: its
// middle and the directions along and away.
type lineRate struct{ middle, along, away geom.Vec3 }

// lineRate: a line on a panel moves with the panel. One glued to a face of the
// host fold moves with the fold: a measurement of the host can shift the fold in
// the host's own panel.
func (l *linkage) lineRate(p *Pose, r *Rate, line *linkLine) lineRate {
	frame, rate := &p.Panels[line.panel], &r.Panels[line.panel]
	if line.side == noSide {
		return lineRate{rate.At(line.middle), rate.Dir(line.along), rate.Dir(line.away)}
	}
	f, fr := l.host.state(p), l.host.rate(r)
	across, turning := geom.Vec2{X: float64(line.side) * f.Sin, Y: f.Cos}, geom.Vec2{X: float64(line.side) * fr.Sin, Y: fr.Cos}
	out := geom.Combine(across.X, f.S, across.Y, f.N)
	outRate := acrossRate(f, fr, across, turning)
	turned := func(d geom.Vec3) geom.Vec3 { return geom.Combine(d.Dot(f.H), fr.H, d.Dot(out), outRate) }
	return lineRate{
		fr.Origin.Add(turned(frame.At(line.middle).Sub(f.Origin))),
		turned(frame.Dir(line.along)), turned(frame.Dir(line.away)),
	}
}

// carry fills in the rates of the panels while the unknowns change by w.step.
func (l *linkage) carry(p *Pose, r *Rate, w *linkWork) {
	for i := range l.tree {
		j := &l.tree[i]
		parent, parentRate := &p.Panels[j.a.panel], &r.Panels[j.a.panel]
		child, rate := &p.Panels[j.b.panel], &r.Panels[j.b.panel]
		a := l.lineRate(p, r, &j.a)
		turn := w.axes[j.column].Mul(w.step[j.column])
		if j.ball {
			turn = turn.Add(geom.Combine(w.step[j.column+1], w.axes[j.column+1], w.step[j.column+2], w.axes[j.column+2]))
			*rate = ballRate(w.state[j.number:j.number+ballNumbers], parentRate, normalRate(parent, parentRate))
		} else {
			d, across := parent.Dir(j.a.along), parent.Dir(j.a.away)
			sin, cos := math.Sincos(w.state[j.number])
			away := geom.Combine(cos, a.away, j.turn*sin, a.along.Cross(across).Add(d.Cross(a.away)))
			rate.X = geom.Combine(j.b.along.X, a.along, j.b.away.X, away)
			rate.Y = geom.Combine(j.b.along.Y, a.along, j.b.away.Y, away)
		}
		rate.X = rate.X.Add(turn.Cross(child.X))
		rate.Y = rate.Y.Add(turn.Cross(child.Y))
		rate.Origin = a.middle.Sub(rate.Dir(j.b.middle))
	}
}

// ballRate is the rate of a frame turned by a quaternion against its parent; the
// frame's axes are linear in the parent's.
func ballRate(q []float64, parent *geom.Frame, n geom.Vec3) geom.Frame {
	a, b, c, d := q[0], q[1], q[2], q[3]
	return geom.Frame{
		X: geom.Combine3(a*a+b*b-c*c-d*d, parent.X, 2*(b*c+a*d), parent.Y, 2*(b*d-a*c), n),
		Y: geom.Combine3(2*(b*c-a*d), parent.X, a*a-b*b+c*c-d*d, parent.Y, 2*(c*d+a*b), n),
	}
}

// drift fills w.rest with the rates of the equations, in the order of residual.
func (l *linkage) drift(p *Pose, r *Rate, w *linkWork) {
	row := 0
	for i := range l.loops {
		j := &l.loops[i]
		a, b := l.lineRate(p, r, &j.a), l.lineRate(p, r, &j.b)
		gap := b.middle.Sub(a.middle)
		w.rest[row], w.rest[row+1], w.rest[row+2] = gap.X, gap.Y, gap.Z
		if !j.ball {
			host, hostRate := &p.Panels[j.a.panel], &r.Panels[j.a.panel]
			d := p.Panels[j.b.panel].Dir(j.b.along)
			w.rest[row+3] = j.half * (b.along.Dot(host.Dir(j.a.away)) + d.Dot(a.away))
			w.rest[row+4] = j.half * (b.along.Dot(host.Normal()) + d.Dot(normalRate(host, hostRate)))
		}
		row += j.equations()
	}
}
