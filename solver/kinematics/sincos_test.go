package kinematics

import (
	"math"
	"testing"
)

// Source: math.Sincos, which sums the same polynomials in another order. Both
// are good to the last bit or two.
func TestSincos(t *testing.T) {
	const steps = 1_000_000
	for i := -1000; i <= steps+1000; i++ {
		x := math.Pi / 2 * float64(i) / steps
		sin, cos := sincos(x)
		wantSin, wantCos := math.Sincos(x)
		if math.Abs(sin-wantSin) > 2.3e-16 || math.Abs(cos-wantCos) > 2.3e-16 {
			t.Fatalf("sincos(%v) = %v, %v; want %v, %v", x, sin, cos, wantSin, wantCos)
		}
	}
	// Next to a quarter turn the cosine keeps its digits. (math.Cos is 1e-15 off.)
	for _, x := range []float64{math.Pi / 2, math.Nextafter(math.Pi/2, 0), math.Pi/2 - 1e-9} {
		if _, cos := sincos(x); math.Abs(cos-math.Cos(x)) > 1e-14*math.Abs(math.Cos(x)) {
			t.Errorf("cosine of %v is %v, want %v", x, cos, math.Cos(x))
		}
	}
	if sin, cos := sincos(math.NaN()); !math.IsNaN(sin) || !math.IsNaN(cos) {
		t.Errorf("sincos(NaN) = %v, %v", sin, cos)
	}
}
