package kinematics

import (
	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// floatingLayerRates are the rates of a floating layer's constants.
type floatingLayerRates struct {
	from, height float64
	support      [2]float64
}

var noFloatingLayerRates floatingLayerRates

func (f *floatingLayer) vary(rates design.Spec, s *shapeRate) any {
	spec, was := rates.(*design.FloatingLayer), s.spec.(*design.FloatingLayer)
	w := &floatingLayerRates{from: spec.From, height: spec.Height}
	w.support[0], w.support[1] = spec.Supports()
	long, longer := was.To-was.From, spec.To-spec.From
	leftExtent, rightExtent := was.Extents()
	leftRate, rightRate := spec.Extents()
	s.rectangle(f.layer[0], long, leftExtent, longer, leftRate)
	s.rectangle(f.layer[1], long, rightExtent, longer, rightRate)
	for _, panel := range [3]int{f.center, f.standUp[0], f.standUp[1]} {
		s.rectangle(panel, long, f.height, longer, w.height)
	}
	for fold := f.folds.first; fold <= f.layerFold; fold++ {
		s.edges[fold].length = longer
		// The tops are at the supports on the layer, or at the head of a
		// support; which of the two the fold is kept in, its face tells.
		switch own := s.a.ownFace(fold); {
		case own.Origin.Y == 0:
		case own.Panel == f.layer[0]:
			s.edges[fold].origin.Y = w.support[0]
		case own.Panel == f.layer[1]:
			s.edges[fold].origin.Y = w.support[1]
		default:
			s.edges[fold].origin.Y = w.height
		}
	}
	return w
}

func (f *floatingLayer) rate(p *Pose, r *Rate, own any) bool {
	host, hr := f.host.state(p), f.host.rate(r)
	w := ownRates(own, &noFloatingLayerRates)
	start := startRate(host, hr, f.from, w.from)
	top := start.Add(geom.Combine(f.height, hr.N, w.height, host.N))
	r.Panels[f.center] = geom.Frame{Origin: start, X: hr.H, Y: hr.N}
	for side, sign := range [2]float64{-1, 1} {
		out := geom.Vec2{X: sign * host.Sin, Y: host.Cos}
		outRate := geom.Vec2{X: sign * hr.Sin, Y: hr.Cos}
		x, xRate := f.support[side], w.support[side]
		foot := acrossRate(host, hr, out.Mul(x), outRate.Mul(x).Add(out.Mul(xRate)))
		r.Panels[f.layer[side]] = geom.Frame{Origin: top, X: hr.H, Y: acrossRate(host, hr, out, outRate)}
		r.Panels[f.standUp[side]] = geom.Frame{Origin: start.Add(foot), X: hr.H, Y: hr.N}
	}
	return true
}
