package kinematics

import "math"

// Pieces that lie on a panel move as their driver does, but for the pivot arm.

func (f *figure) enclose(*Ranges) enclosure { return enclosed }

func (w *wheel) enclose(r *Ranges) enclosure       { return r.follow(r.own, w.driver) }
func (s *pulledSlide) enclose(r *Ranges) enclosure { return r.follow(r.own, s.driver) }

// The flap's dihedral is flat less the angle of the driver.
func (f *flap) enclose(r *Ranges) enclosure {
	lo, hi := r.hand(f.driver)
	r.lo[f.hinge], r.hi[f.hinge] = turn{2, -hi}, turn{2, -lo}
	return enclosed
}

// follow is the range of a joint whose coordinate is that of a driver.
func (r *Ranges) follow(joint, driver int) enclosure {
	lo, hi := r.hand(driver)
	r.lo[joint], r.hi[joint] = turn{rest: lo}, turn{rest: hi}
	return enclosed
}

// enclose: by the half-angle formula in the triangle of crank r, link ℓ and slider
// x, where the crank is
//
//	tan² θ/2 = (ℓ-x+r)(ℓ+x-r)/((x+r-ℓ)(x+r+ℓ))
//
// and dθ/dx = -cot ζ/x, with ζ the angle between link and slide: it turns back
// where that is a right angle, x² = r²-ℓ², and nowhere for a link longer than the
// crank.
func (a *pivotArm) enclose(r *Ranges) enclosure {
	lo, hi := r.hand(a.driver)
	lo, hi = a.slider+lo, a.slider+hi
	joint := r.own
	r.begin(joint)
	ok := a.include(r, joint, lo) && a.include(r, joint, hi)
	if turning := math.Sqrt(notBelowZero((a.crank - a.link) * (a.crank + a.link))); lo < turning && turning < hi {
		ok = ok && a.include(r, joint, turning)
	}
	if !ok {
		return locked
	}
	return enclosed
}

func (a *pivotArm) include(r *Ranges, joint int, x float64) bool {
	c, l := a.crank, a.link
	if cos := (x*x + c*c - l*l) / (2 * x * c); math.Abs(cos) > 1+reachRounding {
		return false
	}
	slack := squareRounding * (x + c + l)
	theta := func(x float64) arc {
		above, below := (l-x+c)*(l+x-c), (x+c-l)*(x+c+l)
		return arcOf(turnOf(math.Sqrt(notBelowZero(above)), math.Sqrt(notBelowZero(below)))).times(2)
	}
	r.include(joint, theta(x-slack).hull(theta(x+slack)).minus(arcOf(turn{rest: a.rest})))
	return true
}
