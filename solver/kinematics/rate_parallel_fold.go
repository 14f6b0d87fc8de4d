package kinematics

import (
	"math"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// The ridge of a parallel fold is P = M + Q, in the notation of parallelFold,
// with Q·D = -p̄·ε and |Q|² + |D|² = p̄² + ε². Differentiated, with a dash for the
// rate,
//
//	Q'·D = (-p̄·ε)' - Q·D'
//	Q'·Q = p̄·p̄' + ε·ε' - D·D'
//
// and with Q = νD + ρD⟂
//
//	Q' = (Q'·D)/|D|²·D + (Q'·Q - ν(Q'·D))/(ρ|D|²)·D⟂
//
// Derived here; the planar form of what is said of the V-fold, and as there
// ρ|D|² = √(open·shut) vanishes at a lock, and in proportion to what it divides
// where the mechanism is shut or lies flush.

// parallelRates are the rates of a parallel fold's constants.
type parallelRates struct {
	from          float64
	offset, width [2]float64
	meanA, delta  float64
	alongD        float64
	squared       float64 // p̄·p̄' + ε·ε'
	uneven        bool    // the two sides change unlike each other
	flush         float64 // of p̄-ā
}

var noParallelRates parallelRates

// parallelMeasures are the measurements of a parallel fold, a strap or a cut
// step.
func parallelMeasures(spec design.Spec) (from, to float64, left, right design.ParallelSide) {
	strap := func(s *design.Strap) (from, to float64, left, right design.ParallelSide) {
		return s.From, s.To,
			design.ParallelSide{BaseOffset: s.LeftOffset, PanelWidth: s.RightOffset},
			design.ParallelSide{BaseOffset: s.RightOffset, PanelWidth: s.LeftOffset}
	}
	switch p := spec.(type) {
	case *design.ParallelFold:
		left, right = p.Sides()
		return p.From, p.To, left, right
	case *design.Strap:
		return strap(p)
	case *design.CutStep:
		return strap(&p.Strap)
	}
	return 0, 0, left, right
}

func (f *parallelFold) vary(rates design.Spec, s *shapeRate) any {
	from, to, left, right := parallelMeasures(s.spec)
	fromRate, toRate, leftRate, rightRate := parallelMeasures(rates)
	r := &parallelRates{from: fromRate}
	long, longer := to-from, toRate-fromRate
	panels, ridge := [2]int{f.left, f.right}, s.a.ownFace(f.ridge())
	for side, rate := range [2]design.ParallelSide{leftRate, rightRate} {
		r.offset[side], r.width[side] = rate.BaseOffset, rate.PanelWidth
		s.rectangle(panels[side], long, f.width[side], longer, rate.PanelWidth)
		s.edges[[2]int{f.leftBase, f.rightBase()}[side]].length = longer
		if ridge.Panel == panels[side] {
			s.edges[f.ridge()] = edgeRate{origin: geom.Vec2{Y: rate.PanelWidth}, length: longer}
		}
	}
	meanP, eps := (left.PanelWidth+right.PanelWidth)/2, (right.PanelWidth-left.PanelWidth)/2
	meanPR, epsR := (r.width[0]+r.width[1])/2, (r.width[1]-r.width[0])/2
	r.meanA, r.delta = (r.offset[0]+r.offset[1])/2, (r.offset[1]-r.offset[0])/2
	r.alongD = -meanPR*eps - meanP*epsR
	r.squared = meanP*meanPR + eps*epsR
	r.uneven = r.delta != 0 || epsR != 0
	r.flush = meanPR - r.meanA
	return r
}

func (f *parallelFold) rate(p *Pose, r *Rate, own any) bool {
	host, hr := f.host.state(p), f.host.rate(r)
	w := ownRates(own, &noParallelRates)
	up, upRate, ok := f.upRates(host, hr, w)
	if !ok {
		return false
	}
	start := startRate(host, hr, f.from, w.from)
	for side, sign := range [2]float64{-1, 1} {
		out, outRate := geom.Vec2{X: sign * host.Sin, Y: host.Cos}, geom.Vec2{X: sign * hr.Sin, Y: hr.Cos}
		base := acrossRate(host, hr, out.Mul(f.offset[side]), outRate.Mul(f.offset[side]).Add(out.Mul(w.offset[side])))
		r.Panels[[2]int{f.left, f.right}[side]] = geom.Frame{
			Origin: start.Add(base), X: hr.H, Y: acrossRate(host, hr, up[side], upRate[side]),
		}
	}
	return true
}

// upRates are the directions of both panels in the cross-section, from base
// line to ridge, and their rates.
func (f *parallelFold) upRates(host, hr *Hinge, w *parallelRates) (up, rate [2]geom.Vec2, ok bool) {
	S, C := withDirection(host.Sin), host.Cos
	if f.flush == 0 && math.Abs(C) < flatSine {
		C = withDirection(math.Abs(C))
	}
	if C > 0 && f.parallelogram() && w.width[0] == w.offset[1] && w.width[1] == w.offset[0] {
		// Opposite sides of a parallelogram: singular neither shut nor flush.
		up = [2]geom.Vec2{{X: S, Y: C}, {X: -S, Y: C}}
		return up, [2]geom.Vec2{{X: hr.Sin, Y: hr.Cos}, {X: -hr.Sin, Y: hr.Cos}}, true
	}
	sinRate, cosRate := hr.turned(host, S, C)
	m := geom.Vec2{X: S * f.delta, Y: C * f.meanA}
	d := geom.Vec2{X: S * f.meanA, Y: C * f.delta}
	dd := d.Dot(d)
	open, shut := C*C*f.pairA+f.flush, S*S*f.pairA+f.flat
	near := f.rounding * (rateRounding / reachRounding)
	if open < near && (f.flush != 0 || w.flush != 0) || min(shut, dd) < near && (f.flat != 0 || w.uneven) {
		return up, rate, false
	}
	mRate := geom.Vec2{X: sinRate*f.delta + S*w.delta, Y: cosRate*f.meanA + C*w.meanA}
	dRate := geom.Vec2{X: sinRate*f.meanA + S*w.meanA, Y: cosRate*f.delta + C*w.delta}
	nu, root := f.alongD/dd, math.Sqrt(open)*math.Sqrt(shut)
	q := d.Mul(nu).Add(d.Perp().Mul(root / dd))
	qd, qq := w.alongD-q.Dot(dRate), w.squared-d.Dot(dRate)
	ridge := m.Add(q)
	ridgeRate := mRate.Add(d.Mul(qd / dd)).Add(d.Perp().Mul((qq - nu*qd) / root))
	for side, sign := range [2]float64{-1, 1} {
		a, aRate := f.offset[side], w.offset[side]
		base := geom.Vec2{X: sign * S * a, Y: C * a}
		baseRate := geom.Vec2{X: sign * (hr.Sin*a + S*aRate), Y: hr.Cos*a + C*aRate}
		up[side] = ridge.Sub(base).Mul(1 / f.width[side])
		rate[side] = ridgeRate.Sub(baseRate).Sub(up[side].Mul(w.width[side])).Mul(1 / f.width[side])
	}
	return up, rate, true
}

// parallelogram is whether each panel is as wide as the other's base line is
// far from the fold.
func (f *parallelFold) parallelogram() bool {
	return f.flush == 0 && f.flat == 0 &&
		math.Abs(f.width[0]-f.offset[1])+math.Abs(f.width[1]-f.offset[0]) < flatRounding*f.meanA
}
