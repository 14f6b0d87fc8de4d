package kinematics

import "math"

// sincos is math.Sincos for angles up to a quarter turn, which half an opening
// is, with the polynomials of the same source (Cephes, S. L. Moshier, sin.c).
// Pairs of terms are summed side by side: a pose cannot begin before it has
// these two numbers, and waiting for them was a third of its time.
func sincos(x float64) (sin, cos float64) {
	if !(x >= 0 && x <= math.Pi/2) {
		return math.Sincos(x)
	}
	z := x
	if x > math.Pi/4 {
		z = (math.Pi/2 - x) + quarterTurnRest
	}
	zz := z * z
	z4 := zz * zz
	sin = z + z*zz*((s0+zz*s1)+z4*((s2+zz*s3)+z4*(s4+zz*s5)))
	cos = 1 - 0.5*zz + z4*((c0+zz*c1)+z4*((c2+zz*c3)+z4*(c4+zz*c5)))
	if x > math.Pi/4 {
		return cos, sin
	}
	return sin, cos
}

// quarterTurnRest is what π/2 exceeds its nearest float64 by.
const quarterTurnRest = 6.123233995736766e-17

// Coefficients of sin z = z + z³·Σ s·z²ᵏ and cos z = 1 - z²/2 + z⁴·Σ c·z²ᵏ for z
// up to π/4.
const (
	s0 = -1.66666666666666307295e-1
	s1 = 8.33333333332211858878e-3
	s2 = -1.98412698295895385996e-4
	s3 = 2.75573136213857245213e-6
	s4 = -2.50507477628578072866e-8
	s5 = 1.58962301576546568060e-10

	c0 = 4.16666666666665929218e-2
	c1 = -1.38888888888730564116e-3
	c2 = 2.48015872888517045348e-5
	c3 = -2.75573141792967388112e-7
	c4 = 2.08757008419747316778e-9
	c5 = -1.13585365213876817300e-11
)
