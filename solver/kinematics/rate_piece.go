package kinematics

import (
	"math"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// Pieces that lie on a panel: figures, wheels, slides, arms and flaps. A piece
// at T of the panel, turned by an angle α, has the frame
//
//	origin = panel at T,  X = panel along (cos α, sin α),  Y = panel along (-sin α, cos α)
//
// which is bilinear in the panel's frame and in T and the turn, so the rates are
// those of either with the other held.

// placeRates are the rates of a place.
type placeRates struct {
	t    geom.Vec2
	turn float64
}

var noPlaceRates placeRates

func ratesOfPlace(p design.Place) placeRates {
	return placeRates{geom.Vec2{X: p.U, Y: p.V}, float64(p.Rotate)}
}

// pieceRate is the rate of host.Placed(m).
func pieceRate(host, hostRate *geom.Frame, m geom.Placement, w placeRates) geom.Frame {
	x, y := geom.Vec2{X: m.C, Y: m.S}, geom.Vec2{X: -m.S, Y: m.C}
	return geom.Frame{
		Origin: hostRate.At(m.T).Add(host.Dir(w.t)),
		X:      hostRate.Dir(x).Add(host.Dir(y.Mul(w.turn))),
		Y:      hostRate.Dir(y).Sub(host.Dir(x.Mul(w.turn))),
	}
}

func (f *figure) vary(rates design.Spec, _ *shapeRate) any {
	w := ratesOfPlace(rates.(*design.Figure).Place)
	return &w
}

func (f *figure) rate(p *Pose, r *Rate, own any) bool {
	w := ownRates(own, &noPlaceRates)
	r.Panels[f.panel] = pieceRate(&p.Panels[f.host], &r.Panels[f.host], f.place, *w)
	return true
}

func (w *wheel) vary(rates design.Spec, s *shapeRate) any {
	wider := rates.(*design.Wheel).Radius
	r := s.spec.(*design.Wheel).Radius
	s.outline(w.panel, at2(r, 0, wider, 0), at2(0, r, 0, wider), at2(-r, 0, -wider, 0), at2(0, -r, 0, -wider))
	own := ratesOfPlace(rates.(*design.Wheel).Place)
	return &own
}

func (w *wheel) rate(p *Pose, r *Rate, own any) bool {
	rates := *ownRates(own, &noPlaceRates)
	rates.turn += r.hand(w.driver)
	turned := geom.Turn(geom.Angle(p.Drive.Hand[w.driver])).Then(w.place)
	r.Panels[w.panel] = pieceRate(&p.Panels[w.host], &r.Panels[w.host], turned, rates)
	return true
}

func (s *pulledSlide) vary(rates design.Spec, _ *shapeRate) any {
	w := ratesOfPlace(rates.(*design.PullTab).Place)
	return &w
}

func (s *pulledSlide) rate(p *Pose, r *Rate, own any) bool {
	w := *ownRates(own, &noPlaceRates)
	pull := p.Drive.Hand[s.driver]
	along := geom.Vec2{X: s.place.C, Y: s.place.S}
	w.t = w.t.Add(along.Mul(r.hand(s.driver))).Add(along.Perp().Mul(pull * w.turn))
	moved := geom.Move(geom.Vec2{X: pull}).Then(s.place)
	r.Panels[s.panel] = pieceRate(&p.Panels[s.host], &r.Panels[s.host], moved, w)
	r.travel[s.strip] = r.hand(s.driver)
	return true
}

// armRates are the rates of a pivot arm's constants.
type armRates struct {
	place                     placeRates
	crank, link, rest, slider float64
}

var noArmRates armRates

// vary: the strip rests at x0 = r·cos θ0 + √(ℓ² - r²·sin² θ0), the root of which
// is real and positive since the link is the longer.
func (a *pivotArm) vary(rates design.Spec, _ *shapeRate) any {
	spec := rates.(*design.PivotArm)
	w := &armRates{place: ratesOfPlace(spec.Place), crank: spec.Crank, link: spec.LinkLength, rest: float64(spec.CrankAngle)}
	sin, cos := math.Sincos(a.rest)
	across, acrossRate := a.crank*sin, w.crank*sin+a.crank*cos*w.rest
	w.slider = w.crank*cos - across*w.rest +
		(a.link*w.link-across*acrossRate)/math.Sqrt(a.link*a.link-across*across)
	return w
}

// rate differentiates ℓ² = x² + r² - 2·x·r·cos θ, the law of cosines.
func (a *pivotArm) rate(p *Pose, r *Rate, own any) bool {
	w := ownRates(own, &noArmRates)
	pull := r.hand(a.driver)
	x, xRate := a.slider+p.Drive.Hand[a.driver], w.slider+pull
	cos := (x*x + a.crank*a.crank - a.link*a.link) / (2 * x * a.crank)
	if 1-cos*cos < rateRounding {
		return false
	}
	theta := math.Acos(cos)
	thetaRate := (a.link*w.link - x*xRate - a.crank*w.crank + (xRate*a.crank+x*w.crank)*cos) /
		(x * a.crank * math.Sin(theta))
	turned := geom.Turn(geom.Angle(theta - a.rest)).Then(a.place)
	place := placeRates{w.place.t, w.place.turn + thetaRate - w.rest}
	r.Panels[a.panel] = pieceRate(&p.Panels[a.host], &r.Panels[a.host], turned, place)
	r.travel[a.strip] = pull
	return true
}

func (f *flap) vary(rates design.Spec, s *shapeRate) any {
	changing, spec := rates.(*design.Flap), s.spec.(*design.Flap)
	corners := []corner{at2(0, 0, 0, 0), at2(spec.HingeLength, 0, changing.HingeLength, 0)}
	if spec.Profile == nil {
		corners = append(corners,
			at2(spec.HingeLength, spec.Depth, changing.HingeLength, changing.Depth),
			at2(0, spec.Depth, 0, changing.Depth))
	}
	s.outline(f.panel, corners...)
	s.edges[f.hinge].length = changing.HingeLength
	w := ratesOfPlace(changing.Place)
	return &w
}

func (f *flap) rate(p *Pose, r *Rate, own any) bool {
	host, hostRate := &p.Panels[f.host], &r.Panels[f.host]
	flat, rate := host.Placed(f.place), pieceRate(host, hostRate, f.place, *ownRates(own, &noPlaceRates))
	up, upRate := host.Normal().Mul(f.printed), normalRate(host, hostRate).Mul(f.printed)
	sin, cos := math.Sincos(p.Drive.Hand[f.driver])
	turning := geom.Combine(-sin, flat.Y, cos, up).Mul(r.hand(f.driver))
	rate.Y = geom.Combine(cos, rate.Y, sin, upRate).Add(turning)
	r.Panels[f.panel] = rate
	return true
}
