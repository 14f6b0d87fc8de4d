package kinematics

import "math"

// include takes into the ranges of a tent's base, the fold first, and of its ridge,
// the one after it, what they are when the length τ has been drawn; false when it
// cannot be.
//
// The triangle of tent has the angles η at the near end of its base, ζ at the far
// one. The base's dihedral outside is π - η, that of the ridge underneath π - η - ζ;
// by the half-angle formula
//
//	tan² η/2 = τ(2f-τ)/((2n+2f-τ)(2n-τ))     tan² ζ/2 = τ(2n-τ)/((2n+2f-τ)(2f-τ))
//	tan² (η+ζ)/2 = τ(2n+2f-τ)/((2n-τ)(2f-τ))
func (t *tent) include(r *Ranges, first int, tau float64) bool {
	if _, _, _, ok := t.ridge(tau); !ok {
		return false
	}
	flat := quarterTurns(2)
	whole, near, far := 2*(t.n+t.f)-tau, notBelowZero(2*t.n-tau), notBelowZero(2*t.f-tau)
	tau = notBelowZero(tau)
	root := func(above, below float64) arc {
		return arcOf(turnOf(math.Sqrt(above), math.Sqrt(below))).times(2)
	}
	r.include(first, flat.minus(root(tau*far, whole*near)))
	r.include(first+1, flat.minus(root(tau*whole, near*far)))
	return true
}

// enclose fills in the ranges of a tent's folds while the length drawn is from lo to
// hi; false when it is not reached.
//
// The ridge shuts as the base shortens. The near panel turns by dη/db = -cot ζ/b, b
// the base: it turns back where ζ is a right angle, b² = n² - f², which is where it
// stands steepest.
func (t *tent) enclose(r *Ranges, first int, lo, hi float64) bool {
	r.begin(first)
	r.begin(first + 1)
	lo, hi = lo-squareRounding*lo, hi+squareRounding*hi
	ok := t.include(r, first, lo) && t.include(r, first, hi)
	if t.diff > 0 {
		if steepest := t.n + t.f - math.Sqrt(t.diff*(t.n+t.f)); lo < steepest && steepest < hi {
			ok = ok && t.include(r, first, steepest)
		}
	}
	return ok
}

func (t *pulledTent) enclose(r *Ranges) enclosure {
	lo, hi := r.hand(t.driver)
	if !t.tent.enclose(r, t.nearBase, lo, hi) {
		return locked
	}
	return enclosed
}

// turnsOfStrip are the openings at which a strip across the gutter, guided or not,
// turns back, or is nearest to binding: at its most stretched and its most askew.
var turnsOfStrip = [...]float64{math.Pi / 2, math.Pi, 3 * math.Pi / 2}

// enclose: what the strip has drawn grows from shut to flat open,
//
//	guided    dτ/dt = x0·d·sin t/q
//	unguided  dτ/dt = d·sin t·(1 + d·cos t/√(r² - d²·sin² t))
//
// the latter where it has not bound before, since √(r²-d²·sin² t) > -d·cos t for
// d < r; and where d ≥ r it has bound, at sin t = r/d, before cos t is negative.
func (t *slideTent) enclose(r *Ranges) enclosure {
	from, to := r.openings()
	lo, hi := math.Inf(1), math.Inf(-1)
	include := func(opening float64) bool {
		S, C := sincos(opening / 2)
		tau, ok := t.drawn(S, C)
		slack := t.drawnSlack(S, C)
		lo, hi = min(lo, tau-slack), max(hi, tau+slack)
		return ok
	}
	ok := include(from) && include(to)
	for _, opening := range turnsOfStrip {
		if from < opening && opening < to {
			ok = ok && include(opening)
		}
	}
	if !ok || !t.tent.enclose(r, t.folds.first, lo, hi) {
		return locked
	}
	return enclosed
}

// drawnSlack is what the root in τ leaves of rounding in it, more as the strip is
// about to bind.
func (t *slideTent) drawnSlack(S, C float64) float64 {
	if t.guided {
		return 0
	}
	sine := 2 * t.d * S * C
	of := squareRounding * t.rod * t.rod
	return of / math.Sqrt(max((t.rod-sine)*(t.rod+sine), of)) * (sine / t.rod) * (sine / t.rod)
}
