package kinematics

import "math"

// dyad encloses the three dihedrals of a mechanism of two panels, planar or
// spherical, over a range of its host's.
//
// Notation. That of vFold and parallelFold: O the host fold, B1 and B2 the base
// lines, P the ridge. The line from B1 to B2, 2d long, cuts the four-bar into the
// triangle at O, with sides a1, a2 and angles ψ, α1, α2, and the one at P, with
// sides p1, p2 and angles γ, β1, β2. For a V that leans toward, O is the point
// opposite h and its sides are π - a. Then O and P lie on either side of the line,
// and with ω = α + β
//
//	left base = π - ω1    right base = π - ω2    ridge = γ
//
// Angles. By Napier's analogies and the half-angle formula, with δ, ε half of
// a2 - a1 and p2 - p1, and ā, p̄ the means,
//
//	tan (α1+α2)/2 = cos δ/cos ā·cot ψ/2    tan (α1-α2)/2 = sin δ/sin ā·cot ψ/2
//	tan (β1+β2)/2 = cos ε/cos p̄·cot γ/2    tan (β1-β2)/2 = sin ε/sin p̄·cot γ/2
//	tan² γ/2 = shut/open
//
// with open and shut as the posers have them, so that nothing cancels when shut or
// flat. In the plane the cosines are 1 and the sines the lengths themselves. Beyond
// ψ = π, O is on P's side of the line, and the α are negative as the formulas say.
//
// Turning (derived here). The loop stays closed if the turns of its four folds
// about their lines come to nothing. Of that sum, the part across the lines of P
// and one base gives, with sines of the sides in the spherical case,
//
//	dω1/dψ = -(a2·sin ω2)/(p1·sin γ)    dω2/dψ = -(a1·sin ω1)/(p2·sin γ)
//	dγ/dψ  =  (a1·a2·sin ψ)/(p1·p2·sin γ)
//
// γ is 0 or π only at a lock, when shut, or flush when flat. So each base turns
// back only where the other is folded flat, which turningOf finds, and the ridge
// only at ψ = π, where the motion also has a corner if the mechanism lies flush
// there. A pose goes on a hair beyond a lock, by rounding, with γ as at the lock, which
// is a corner too. Between those dihedrals all three are monotone: what they take is
// the hull of their values at the ends and at those dihedrals that lie between, no more.
type dyad struct {
	pair        float64    // sin a1·sin a2 or a1·a2
	flush, flat float64    // as the poser has them
	rounding    float64    // below zero that `open` and `shut` may be
	mean2       float64    // cos²ā; 1 in the plane, where the base lines are parallel
	sumA, diffA [2]float64 // numerator and denominator of the ratios above
	sumP, diffP [2]float64
	turning     []float64 // dihedrals of the host
}

// findTurning lists the dihedrals of the host that cut its ranges: flat, locks, and
// where O, P and one base line lie in line, so that the fold there is flat. With a1, p1
// the sides at the other base and L = a2 ± p2 the third side of the triangle O, B1, P,
//
//	tan² ψ/2 = sin (p1+a1-L)/2·sin (p1-a1+L)/2 / (sin (a1+L+p1)/2·sin (a1+L-p1)/2)
//
// A factor that is zero but for rounding tells that this is so when the host is shut or
// flat, where ranges are cut in any case. sine is the identity in the plane.
func (b *dyad) findTurning(a, p [2]float64, rounding float64, sine func(float64) float64) {
	b.turning = []float64{math.Pi}
	add := func(over, under float64) { // of tan² ψ/2
		if over*under > 0 {
			psi := 2 * math.Atan(math.Sqrt(over/under))
			b.turning = append(b.turning, psi, 2*math.Pi-psi)
		}
	}
	add(-b.flat, b.pair+b.flat)
	add(b.pair+b.flush, -b.flush)
	half := func(x float64) float64 { return zeroBelow(sine(x/2), rounding) }
	for one, other := range [2]int{1, 0} {
		a1, p1 := a[one], p[one]
		for _, l := range [2]float64{a[other] + p[other], a[other] - p[other]} {
			add(half(p1+a1-l)*half(p1-a1+l), half(a1+l+p1)*half(a1+l-p1))
		}
	}
}

// enclose fills in the ranges of the three folds from first on.
func (b *dyad) enclose(r *Ranges, host *hostFold, first int) enclosure {
	psi, ok := host.dihedral(r)
	if !ok {
		return unknown
	}
	for fold := first; fold < first+3; fold++ {
		r.begin(fold)
	}
	if !psi.each(b.turning, func(psi turn) bool {
		S, C := psi.half().sincos()
		return b.include(r, first, withDirection(S), C)
	}) {
		return locked
	}
	return enclosed
}

// squareRounding is what rounding leaves in a sum of a few squares, as a fraction
// of their sizes. Next to a lock the angles go as the root of such a sum, and so
// does what is allowed for.
const squareRounding = 16 * 0x1p-53

// include takes the angles at one dihedral of the host into the ranges; false when
// it is not reached.
func (b *dyad) include(r *Ranges, first int, S, C float64) bool {
	x, y := C*C*b.pair, S*S*b.pair
	open, shut := x+b.flush, y+b.flat
	if open < -b.rounding || shut < -b.rounding || x+b.mean2 < inOneLine {
		return false
	}
	openSlack, shutSlack := squareRounding*(x+math.Abs(b.flush)), squareRounding*(y+math.Abs(b.flat))
	sumA, diffA := arcOf(turnOf(C*b.sumA[0], S*b.sumA[1])), arcOf(turnOf(C*b.diffA[0], S*b.diffA[1]))

	// The angles at P are monotone in open/shut: here at the least and the most
	// that may be.
	sumP, diffP, ridge := b.atRidge(open-openSlack, shut+shutSlack)
	sum, diff, wider := b.atRidge(open+openSlack, shut-shutSlack)
	sum, diff = sum.hull(sumP).plus(sumA), diff.hull(diffP).plus(diffA)
	inside := quarterTurns(2).minus(sum)
	r.include(first, inside.minus(diff))
	r.include(first+1, ridge.hull(wider))
	r.include(first+2, inside.plus(diff))
	return true
}

// atRidge is half the sum and half the difference of the β, and γ.
func (b *dyad) atRidge(open, shut float64) (sum, diff, ridge arc) {
	cos, sin := math.Sqrt(notBelowZero(open)), math.Sqrt(notBelowZero(shut))
	return arcOf(turnOf(cos*b.sumP[0], sin*b.sumP[1])), arcOf(turnOf(cos*b.diffP[0], sin*b.diffP[1])),
		arcOf(turnOf(sin, cos)).times(2)
}
