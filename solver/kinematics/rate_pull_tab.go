package kinematics

import (
	"math"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// pulledTentRates are the rates of a pulled tent's constants.
type pulledTentRates struct {
	place  placeRates
	w1, w2 float64
}

var noPulledTentRates pulledTentRates

func (t *pulledTent) vary(rates design.Spec, s *shapeRate) any {
	spec, long := rates.(*design.PullTab), s.spec.(*design.PullTab).Along
	s.rectangle(t.near, long, t.w1, spec.Along, spec.NearWidth)
	s.rectangle(t.far, long, t.w2, spec.Along, spec.FarWidth)
	s.edges[t.nearBase].length = spec.Along
	width := spec.NearWidth
	if s.a.ownFace(t.nearBase+1).Panel == t.far {
		width = spec.FarWidth
	}
	s.edges[t.nearBase+1] = edgeRate{origin: geom.Vec2{Y: width}, length: spec.Along}
	return &pulledTentRates{ratesOfPlace(spec.Place), spec.NearWidth, spec.FarWidth}
}

// rate differentiates, in the notation of pulledTent,
//
//	x = -(b² + (w1-w2)(w1+w2))/(2b)
//	height = √s·G,  G² = (b+w1+w2)·(b² - (w1-w2)²)/(4b²)
//
// Before the pull, s = 0, the height begins as √s: there it has no derivative by
// the pull, and that by anything else is zero.
func (t *pulledTent) rate(p *Pose, r *Rate, own any) bool {
	w := ownRates(own, &noPulledTentRates)
	pull, pullRate := p.Drive.Hand[t.driver], r.hand(t.driver)
	sum, diff := t.w1+t.w2, t.w1-t.w2
	base, baseRate := sum-pull, w.w1+w.w2-pullRate
	squared := (base - diff) * (base + diff)
	near := rateRounding * sum
	if squared < near*sum || pull < near && pullRate != 0 {
		return false
	}
	diffRate := w.w1 - w.w2
	x := -(base*base + diff*sum) / (2 * base)
	xRate := -(base*baseRate+(diffRate*sum+diff*(w.w1+w.w2))/2)/base - x*baseRate/base

	root := math.Sqrt(max(pull, 0))
	g := math.Sqrt((base+sum)*squared) / (2 * base)
	gRate := g * ((baseRate+w.w1+w.w2)/(2*(base+sum)) + (base*baseRate-diff*diffRate)/squared - baseRate/base)
	height, heightRate := root*g, root*gRate
	if pullRate != 0 {
		heightRate += g * pullRate / (2 * root)
	}

	host, hostRate := &p.Panels[t.host], &r.Panels[t.host]
	frame, rate := host.Placed(t.place), pieceRate(host, hostRate, t.place, w.place)
	up, upRate := host.Normal().Mul(t.printed), normalRate(host, hostRate).Mul(t.printed)
	// rises is the rate of a panel's v, (x, height)/width along x and up.
	rises := func(x, xRate, width, widthRate float64) geom.Vec3 {
		v := geom.Vec2{X: x / width, Y: height / width}
		vRate := geom.Vec2{X: xRate, Y: heightRate}.Sub(v.Mul(widthRate)).Mul(1 / width)
		return geom.Combine(v.X, rate.X, v.Y, upRate).Add(geom.Combine(vRate.X, frame.X, vRate.Y, up))
	}
	drawn := rate.Origin.Sub(geom.Combine(base, rate.X, baseRate, frame.X))
	r.Panels[t.near] = geom.Frame{Origin: rate.Origin, X: rate.Y, Y: rises(x, xRate, t.w1, w.w1)}
	r.Panels[t.far] = geom.Frame{Origin: drawn, X: rate.Y, Y: rises(x+base, xRate+baseRate, t.w2, w.w2)}
	r.travel[t.strip] = pullRate
	return true
}
