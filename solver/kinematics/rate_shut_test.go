package kinematics

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/geom"
)

// forward estimates the derivatives of all observables by the opening from poses
// a little more open, without an error before that of h³ (the four-point forward
// difference of any numerical analysis text).
func forward(a *Assembly, drive Drive, h float64) []float64 {
	var at [4][]observable
	for i := range at {
		d := drive
		d.Opening += geom.Angle(float64(i) * h)
		p := a.NewPose()
		a.PoseInto(p, d)
		at[i] = observe(a, p)
	}
	out := make([]float64, len(at[0]))
	for i := range out {
		out[i] = (-11*at[0][i].value + 18*at[1][i].value - 9*at[2][i].value + 2*at[3][i].value) / (6 * h)
	}
	return out
}

// The rate when shut is the derivative into the motion, of uneven mechanisms too,
// whose two sides need each other's last digits there.
func TestRatesWhenShut(t *testing.T) {
	made, left := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		a := drawDesign(t).compile(t)
		drive := Drive{Hand: a.Rest()}
		p, r := a.NewPose(), a.NewRate()
		a.PoseInto(p, drive)
		a.RateInto(r, p, a.SeedOpening())
		rates := observeRate(a, r)
		coarse, fine := forward(a, drive, 2e-5), forward(a, drive, 1e-5)
		const allowed = 1e-5 // a millionth of the step, and rounding divided by it
		for i, o := range observe(a, p) {
			size := allowed * max(o.scale, math.Abs(fine[i]))
			if math.IsNaN(fine[i]) || math.IsNaN(rates[i]) || math.Abs(coarse[i]-fine[i]) > size/10 || o.name == "height" {
				left++
				continue
			}
			made++
			if !(math.Abs(rates[i]-fine[i]) <= size) {
				t.Fatalf("%s: rate %.12g, differences give %.12g and %.12g in %s", o.name, rates[i], coarse[i], fine[i], describe(a))
			}
		}
	})
	if made < 10000 || left > made {
		t.Errorf("%d rates compared, %d left out", made, left)
	}
	t.Logf("%d rates compared, %d left out", made, left)
}
