package kinematics

import (
	"math"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// slideTentRates are the rates of a sliding tent's constants.
type slideTentRates struct {
	from, x0, d, n, f float64
}

var noSlideTentRates slideTentRates

func (t *slideTent) vary(rates design.Spec, s *shapeRate) any {
	spec := rates.(*design.SlideTent)
	long, longer := s.a.Folds[t.folds.first].Length, spec.To-spec.From
	s.rectangle(t.near, long, t.n, longer, spec.NearWidth)
	s.rectangle(t.far, long, t.f, longer, spec.FarWidth)
	s.edges[t.folds.first].length = longer
	ridge := t.folds.first + 1
	width := spec.NearWidth
	if s.a.ownFace(ridge).Panel == t.far {
		width = spec.FarWidth
	}
	s.edges[ridge] = edgeRate{origin: geom.Vec2{Y: width}, length: longer}
	return &slideTentRates{spec.From, spec.FixedOffset, spec.Anchor(), spec.NearWidth, spec.FarWidth}
}

// drawnRate is the rate of τ, in the notation of slideTent. Guided, τ solves
// τ² + 2|x0-d|·τ = 4·x0·d·S². Unguided, with s = d·sin t and u = √(r² - s²), it
// is 2d·S² + r - u, and r' - u' = (s·s' - r'·s²/(r+u))/u.
//
// ok is false where there is no derivative: a strip that is about to bind, and a
// guided one with x0 = d whose anchor or edge moves.
func (t *slideTent) drawnRate(S, C, tau float64, hr *Hinge, w *slideTentRates) (rate float64, ok bool) {
	if t.guided {
		across := w.x0 - w.d
		if t.x0 < t.d {
			across = -across
		}
		if t.across == 0 && across != 0 {
			return 0, false
		}
		k := 4 * S * ((w.x0*t.d+t.x0*w.d)*S + 2*t.x0*t.d*hr.Sin)
		return (k - 2*tau*across) / (2 * (tau + t.across)), true
	}
	sine := 2 * t.d * S * C
	sineRate := 2 * (w.d*S*C + t.d*(hr.Sin*C+S*hr.Cos))
	square := (t.rod - sine) * (t.rod + sine)
	if square < rateRounding*t.rod*t.rod {
		return 0, false
	}
	rod, u := w.x0+w.n+w.f-w.d, math.Sqrt(square)
	return 2*S*(w.d*S+2*t.d*hr.Sin) + (sine*sineRate-rod*sine*sine/(t.rod+u))/u, true
}

func (t *slideTent) rate(p *Pose, r *Rate, own any) bool {
	g, hr := &p.hinges[gutterFold], &r.hinges[gutterFold]
	w := ownRates(own, &noSlideTentRates)
	S, C := withDirection(g.Sin), g.Cos
	tau, _ := t.drawn(S, C)
	tauRate, ok := t.drawnRate(S, C, tau, hr, w)
	v, z, base, _ := t.ridge(tau)
	vRate, zRate, baseRate, smooth := t.ridgeRate(tau, tauRate, w.n, w.f)
	if !ok || !smooth {
		return false
	}

	page, rate := &p.Panels[t.page], &r.Panels[t.page]
	up, upRate := page.Normal().Mul(t.printed), normalRate(page, rate).Mul(t.printed)
	rises := func(x, xRate, width, widthRate float64) geom.Vec3 {
		at := geom.Vec2{X: x / width, Y: z / width}
		change := geom.Vec2{X: xRate, Y: zRate}.Sub(at.Mul(widthRate)).Mul(1 / width)
		return geom.Combine(at.X, rate.Y, at.Y, upRate).Add(geom.Combine(change.X, page.Y, change.Y, up))
	}
	origin := func(x, xRate float64) geom.Vec3 {
		return rate.At(geom.Vec2{X: t.from, Y: x}).Add(page.Dir(geom.Vec2{X: w.from, Y: xRate}))
	}
	r.Panels[t.near] = geom.Frame{Origin: origin(t.x0, w.x0), X: rate.X, Y: rises(v, vRate, t.n, w.n)}
	r.Panels[t.far] = geom.Frame{
		Origin: origin(t.x0+base, w.x0+baseRate), X: rate.X, Y: rises(v-base, vRate-baseRate, t.f, w.f),
	}
	r.travel[t.strip] = tauRate
	return true
}
