package kinematics

import (
	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// pulledTentRates are the rates of a pulled tent's constants.
type pulledTentRates struct {
	place placeRates
	n, f  float64
}

var noPulledTentRates pulledTentRates

func (t *pulledTent) vary(rates design.Spec, s *shapeRate) any {
	spec, long := rates.(*design.PullTab), s.spec.(*design.PullTab).Along
	s.rectangle(t.near, long, t.n, spec.Along, spec.NearWidth)
	s.rectangle(t.far, long, t.f, spec.Along, spec.FarWidth)
	s.edges[t.nearBase].length = spec.Along
	width := spec.NearWidth
	if s.a.ownFace(t.nearBase+1).Panel == t.far {
		width = spec.FarWidth
	}
	s.edges[t.nearBase+1] = edgeRate{origin: geom.Vec2{Y: width}, length: spec.Along}
	return &pulledTentRates{ratesOfPlace(spec.Place), spec.NearWidth, spec.FarWidth}
}

// rate differentiates the triangle and its place.
func (t *pulledTent) rate(p *Pose, r *Rate, own any) bool {
	w := ownRates(own, &noPulledTentRates)
	pull, pullRate := p.Drive.Hand[t.driver], r.hand(t.driver)
	v, height, base, _ := t.ridge(pull)
	vRate, heightRate, baseRate, ok := t.ridgeRate(pull, pullRate, w.n, w.f)
	if !ok {
		return false
	}
	x, xRate := -v, -vRate

	host, hostRate := &p.Panels[t.host], &r.Panels[t.host]
	frame, rate := host.Placed(t.place), pieceRate(host, hostRate, t.place, w.place)
	up, upRate := host.Normal().Mul(t.printed), normalRate(host, hostRate).Mul(t.printed)
	// rises is the rate of a panel's v, (x, height)/width along x and up.
	rises := func(x, xRate, width, widthRate float64) geom.Vec3 {
		at := geom.Vec2{X: x / width, Y: height / width}
		change := geom.Vec2{X: xRate, Y: heightRate}.Sub(at.Mul(widthRate)).Mul(1 / width)
		return geom.Combine(at.X, rate.X, at.Y, upRate).Add(geom.Combine(change.X, frame.X, change.Y, up))
	}
	drawn := rate.Origin.Sub(geom.Combine(base, rate.X, baseRate, frame.X))
	r.Panels[t.near] = geom.Frame{Origin: rate.Origin, X: rate.Y, Y: rises(x, xRate, t.n, w.n)}
	r.Panels[t.far] = geom.Frame{Origin: drawn, X: rate.Y, Y: rises(x+base, xRate+baseRate, t.f, w.f)}
	r.travel[t.strip] = pullRate
	return true
}
