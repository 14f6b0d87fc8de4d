package kinematics

import (
	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// boxRates are the rates of a box's constants.
type boxRates struct {
	from, to, height float64
	offset           [2]float64
	kappa, mean, g   float64
}

var noBoxRates boxRates

func (b *box) vary(rates design.Spec, s *shapeRate) any {
	spec := rates.(*design.Box)
	w := &boxRates{from: spec.From, to: spec.To, height: spec.Height}
	w.offset[0], w.offset[1] = spec.Offsets()
	w.kappa, w.mean = w.offset[1]-w.offset[0], (w.offset[0]+w.offset[1])/2
	w.g = (w.offset[0]*b.offset[1] + b.offset[0]*w.offset[1]) / (2 * b.g)
	b.varyShape(s, w)
	return w
}

func (b *box) varyShape(s *shapeRate, w *boxRates) {
	long, longer := b.to-b.from, w.to-w.from
	for side, sign := range [2]float64{1, -1} {
		s.rectangle(b.wall[side], long, b.height, longer, w.height)
		climb, climbing := sign*b.kappa/2, sign*w.kappa/2
		for _, panel := range [2]int{b.front[side], b.back[side]} {
			s.outline(panel, at2(0, 0, 0, 0), at2(b.height, 0, w.height, 0),
				at2(b.height+climb, b.g, w.height+climbing, w.g), at2(climb, b.g, climbing, w.g))
		}
	}
	if b.lid {
		wide := [2]float64{b.offset[0], b.offset[1]}
		wider := w.offset
		if b.lidWay > 0 {
			wide[0], wide[1], wider[0], wider[1] = wide[1], wide[0], wider[1], wider[0]
		}
		for side, panel := range b.lidPanel {
			s.rectangle(panel, long, wide[side], longer, wider[side])
		}
	}
	for fold := b.folds.first; fold < b.folds.end; fold++ {
		s.edges[fold] = b.varyFold(s.a.ownFace(fold), w)
	}
}

// varyFold tells how a fold of the box changes in the plane of its panel: folds
// that run along the host are as long as the box, those that run up it as high;
// and the far edges of panels move as their width does.
func (b *box) varyFold(own *Face, w *boxRates) edgeRate {
	upright := edgeRate{length: w.height}
	along := edgeRate{length: w.to - w.from}
	far := own.Origin.Y > 0
	for side, sign := range [2]float64{1, -1} {
		switch own.Panel {
		case b.front[side], b.back[side]:
			if far {
				upright.origin = geom.Vec2{X: sign * w.kappa / 2, Y: w.g}
			}
			return upright
		case b.wall[side]:
			if own.Along.X == 0 {
				if own.Origin.X > 0 {
					upright.origin.X = along.length
				}
				return upright
			}
			if far {
				along.origin.Y = w.height
			}
			return along
		}
	}
	if far {
		// The crease of the lid: each half is as wide as an offset.
		side := 0
		if (own.Panel == b.lidPanel[1]) != (b.lidWay > 0) {
			side = 1
		}
		along.origin.Y = w.offset[side]
	}
	return along
}

// leanRate is the rate of w in the cross-section, (2κS(ā-gC), κ²C+4āgS²)/L² in
// the notation of box. With κ = 0 it is upright at every opening, and a change of
// κ leans it by κ'·(1-C)/2gS.
func (b *box) leanRate(S, C float64, hr *Hinge, w *boxRates) (lean, rate geom.Vec2) {
	k, g := b.kappa, b.g
	if k == 0 {
		return geom.Vec2{Y: 1}, geom.Vec2{X: w.kappa * (1 - C) / (2 * g * S)}
	}
	ll := k*k + 4*g*g*S*S
	llRate := 2*k*w.kappa + 8*g*S*(w.g*S+g*hr.Sin)
	away := b.mean - g*C
	awayRate := w.mean - w.g*C - g*hr.Cos
	lean = geom.Vec2{X: 2 * k * S * away / ll, Y: (k*k*C + 4*b.mean*g*S*S) / ll}
	rate = geom.Vec2{
		X: (2*(w.kappa*S*away+k*hr.Sin*away+k*S*awayRate) - lean.X*llRate) / ll,
		Y: (2*k*w.kappa*C + k*k*hr.Cos + 4*S*((w.mean*g+b.mean*w.g)*S+2*b.mean*g*hr.Sin) - lean.Y*llRate) / ll,
	}
	return lean, rate
}

func (b *box) rate(p *Pose, r *Rate, own any) bool {
	host, hr := b.host.state(p), b.host.rate(r)
	w := ownRates(own, &noBoxRates)
	S, C := host.Sin, host.Cos
	lean, leanRate := b.leanRate(withDirection(S), C, hr, w)
	e, eRate := geom.Vec2{X: lean.Y, Y: -lean.X}, geom.Vec2{X: leanRate.Y, Y: -leanRate.X}
	wall := acrossRate(host, hr, lean, leanRate)

	for side, sign := range [2]float64{-1, 1} {
		out := geom.Vec2{X: sign * S, Y: C}
		outRate := geom.Vec2{X: sign * hr.Sin, Y: hr.Cos}
		a, aRate := b.offset[side], w.offset[side]
		base := acrossRate(host, hr, out.Mul(a), outRate.Mul(a).Add(out.Mul(aRate)))
		near := startRate(host, hr, b.from, w.from).Add(base)
		far := startRate(host, hr, b.to, w.to).Add(base)
		r.Panels[b.wall[side]] = geom.Frame{Origin: near, X: hr.H, Y: wall}

		// A half end wall runs along ∓S·e ± C·h.
		slant := acrossRate(host, hr, e.Mul(-sign*S), e.Mul(-sign*hr.Sin).Add(eRate.Mul(-sign*S)))
		inward := geom.Combine(b.endWay*hr.Cos, host.H, b.endWay*C, hr.H)
		r.Panels[b.front[side]] = geom.Frame{Origin: near, X: wall, Y: slant.Add(inward)}
		r.Panels[b.back[side]] = geom.Frame{Origin: far, X: wall, Y: slant.Sub(inward)}
		if b.lid {
			top := acrossRate(host, hr, lean.Mul(b.height), leanRate.Mul(b.height).Add(lean.Mul(w.height)))
			over, overRate := geom.Vec2{X: -sign * S, Y: b.lidWay * C}, geom.Vec2{X: -sign * hr.Sin, Y: b.lidWay * hr.Cos}
			r.Panels[b.lidPanel[side]] = geom.Frame{Origin: near.Add(top), X: hr.H, Y: acrossRate(host, hr, over, overRate)}
		}
	}
	return true
}
