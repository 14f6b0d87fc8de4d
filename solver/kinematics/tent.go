package kinematics

import "math"

// tent is the triangle of a tent whose base is drawn together: a near panel of
// width n, a far one of width f, mm. It lies flat on a base of n+f; when the
// length τ has been drawn the base is b = n+f-τ and the ridge stands at
//
//	v = b/2 + (n-f)(n+f)/(2b)       from the near end of the base
//	z² = τ(2n+2f-τ)·(2n-τ)(2f-τ)/(4b²)    above it
//
// by the law of cosines and Heron's formula, the latter in a form in which
// nothing cancels as τ → 0. Singular: τ = 2·min(n, f), where one panel lies on
// the other.
type tent struct {
	n, f     float64
	diff     float64 // n-f, zero when equal but for rounding
	rounding float64 // of lengths
}

// newTent takes the longest length in play, to which rounding is in proportion.
func newTent(near, far, longest float64) tent {
	return tent{near, far, zeroBelow(near-far, longest*flatRounding), longest * reachRounding}
}

// ridge is where the ridge is, and the length of the base, when τ has been drawn;
// ok is false where the base cannot be so short.
func (t *tent) ridge(tau float64) (v, z, base float64, ok bool) {
	base = t.n + t.f - tau
	short := 2*min(t.n, t.f) - tau
	if short < -t.rounding {
		return 0, 0, 0, false
	}
	// With equal panels base is short itself, which may come down to nothing.
	v, ratio := base/2, 0.5
	if t.diff != 0 {
		v += t.diff * (t.n + t.f) / (2 * base)
		ratio = math.Sqrt(max(short, 0)*(2*max(t.n, t.f)-tau)) / (2 * base)
	}
	return v, math.Sqrt(max(tau, 0)*(2*(t.n+t.f)-tau)) * ratio, base, true
}
