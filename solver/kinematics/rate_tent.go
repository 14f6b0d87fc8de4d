package kinematics

import "math"

// steepest bounds the rate of √τ, as a multiple of the square root of the
// model's size: next to where √τ has no derivative, and nowhere else, it is
// exceeded.
const steepest = 1e5

// ridgeRate differentiates ridge, with b = n+f-τ the base and
//
//	v = b/2 + (n-f)(n+f)/(2b),  z² = A·B/(4b²),  A = τ(2n+2f-τ),  B = (2n-τ)(2f-τ)
//
// by the rates of τ, n and f. Flat, z begins as √τ: there it has no derivative by
// τ, and that by anything else is zero. ok is false where there is none.
func (t *tent) ridgeRate(tau, tauRate, nRate, fRate float64) (vRate, zRate, baseRate float64, ok bool) {
	sum, sumRate := t.n+t.f, nRate+fRate
	bottom := (2*t.n - tau) * (2*t.f - tau)
	root := math.Sqrt(max(tau, 0))
	if bottom < rateRounding*sum*sum || math.Abs(tauRate) > 2*root*steepest*math.Sqrt(sum) {
		return 0, 0, 0, false
	}
	base := sum - tau
	baseRate = sumRate - tauRate
	ratio := t.diff * sum / (2 * base)
	vRate = baseRate/2 + ((nRate-fRate)*sum+t.diff*sumRate)/(2*base) - ratio*baseRate/base

	top := 2*sum - tau
	bottomRate := (2*nRate-tauRate)*(2*t.f-tau) + (2*t.n-tau)*(2*fRate-tauRate)
	shape := math.Sqrt(top*bottom) / (2 * base) // z = √τ·shape
	zRate = root * shape * ((2*sumRate-tauRate)/(2*top) + bottomRate/(2*bottom) - baseRate/base)
	if tauRate != 0 {
		zRate += tauRate / (2 * root) * shape
	}
	return vRate, zRate, baseRate, true
}
