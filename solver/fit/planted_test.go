package fit

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/measure"
)

// plantedDesign is a V or a tent with a V or a tent on one of its folds, drawn
// so that most stand; varied are the numbers to find again.
func plantedDesign(draw *rand.Rand) (document string, varied []string) {
	between := func(lo, hi float64) float64 { return lo + (hi-lo)*draw.Float64() }
	base := between(40, 75)
	first := fmt.Sprintf(`{"id":"light","kind":"v_fold","on":{"fold":"gutter"},"at":%g,"left":{"base_angle":%g,"panel_angle":%g,"base_length":60},"ridge_length":%g}`,
		between(60, 100), base, base+between(8, 35), between(40, 60))
	varied = []string{"/mechanisms/0/left/base_angle", "/mechanisms/0/left/panel_angle", "/mechanisms/0/ridge_length", "/mechanisms/0/at"}
	if draw.IntN(2) == 0 {
		offset := between(15, 35)
		first = fmt.Sprintf(`{"id":"light","kind":"parallel_fold","on":{"fold":"gutter"},"from":30,"to":90,"left":{"base_offset":%g,"panel_width":%g}}`,
			offset, offset+between(5, 30))
		varied = []string{"/mechanisms/0/left/base_offset", "/mechanisms/0/left/panel_width", "/mechanisms/0/to"}
	}
	base = between(35, 65)
	second := fmt.Sprintf(`{"id":"gull","kind":"v_fold","on":{"fold":"light.left_base"},"at":%g,"left":{"base_angle":%g,"panel_angle":%g,"base_length":20},"ridge_length":%g}`,
		between(20, 40), base, base+between(8, 30), between(15, 25))
	varied = append(varied, "/mechanisms/1/left/base_angle", "/mechanisms/1/left/panel_angle", "/mechanisms/1/ridge_length", "/mechanisms/1/at")
	return `{"spread":{"page_width":200,"page_height":300},"mechanisms":[` + first + "," + second + `]}`, varied
}

// readingsOf are what one would measure on a mock-up of it.
func readingsOf(t testing.TB, d *design.Design, uncertainty float64, noise func() float64) []Goal {
	a := kinematics.Compile(d)
	p := a.NewPose()
	var list []Goal
	for _, opening := range []float64{60, 110, 160} {
		at := geom.Degrees(opening)
		a.PoseInto(p, kinematics.Drive{Opening: at})
		for _, id := range []string{
			"height.light.ridge@end", "along.light.ridge@end", "fold.light.ridge", "fold.light.left_base",
			"height.gull.ridge@end", "along.gull.ridge@end", "across.gull.ridge@end", "fold.gull.ridge", "distance.gull.ridge@end~light.ridge@end",
		} {
			m, ok := measure.Find(a, id)
			if !ok {
				t.Fatalf("no measure %s", id)
			}
			taken := measure.NewGauge(a).Take(&m, p)
			if math.IsNaN(taken.Value) {
				return nil
			}
			list = append(list, Goal{Measure: id, Opening: &at, Target: taken.Value/m.Scale + noise()*uncertainty, Tolerance: uncertainty})
		}
	}
	return list
}

// Designs are measured, their numbers put out by up to 15 degrees and a quarter
// of their lengths, and found again from the measurements. Where the numbers
// come out others, another way to stand that measures the same would do as well;
// none was drawn.
func TestPlantedNumbersAreFound(t *testing.T) {
	draw := rand.New(rand.NewPCG(7, 7))
	tried, found, all := 0, 0, 200
	if testing.Short() {
		all = 40
	}
	for tried < all {
		document, varied := plantedDesign(draw)
		d := decode(t, document)
		goals := readingsOf(t, d, 0.1, func() float64 { return 0 })
		if goals == nil {
			continue
		}
		start := d.Clone()
		task := &Task{Design: start, Goals: goals, Mockup: true, Keep: Keep{ShutsFlat: true}, Seed: uint64(tried)}
		for _, pointer := range varied {
			n, _ := start.Number(pointer)
			if n.Angle {
				n.Set(n.Get() + 30*draw.Float64() - 15)
			} else {
				n.Set(n.Get() * (0.75 + 0.5*draw.Float64()))
			}
			task.Vary = append(task.Vary, Vary{Pointer: pointer})
		}
		tried++
		a := solve(t, task)
		good := true
		for i, n := range a.Numbers {
			planted, _ := d.Number(n.Pointer)
			good = good && math.Abs(n.After-planted.Get()) < 1e-3 && a.Estimate.Numbers[i].Determined
		}
		if good {
			found++
		} else {
			t.Logf("%s: %+v, misfit %g", document, a.Numbers, a.Misfit)
		}
	}
	t.Logf("%d of %d found", found, tried)
	if found*100 < 95*tried {
		t.Errorf("%d of %d found", found, tried)
	}
}

// With noise of the stated uncertainties the numbers are out by theirs, and χ² is
// what its degrees of freedom say: over many mock-ups the mean of (x/u)² is 1, and
// that of χ² its freedom, with standard deviation √(2/n) and √(2·freedom/n). No
// more are called outliers than stated.
func TestUncertaintiesAreRight(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds")
	}
	draw := rand.New(rand.NewPCG(3, 5))
	const count = 120
	squares, numbers, chi, freedom, alarmed := 0.0, 0.0, 0.0, 0.0, 0
	for n := 0; n < count; {
		document, varied := plantedDesign(draw)
		d := decode(t, document)
		goals := readingsOf(t, d, 0.05, draw.NormFloat64)
		if goals == nil {
			continue
		}
		n++
		task := &Task{Design: d, Goals: goals, Mockup: true, Keep: Keep{ShutsFlat: true}, Starts: 1}
		for _, pointer := range varied {
			task.Vary = append(task.Vary, Vary{Pointer: pointer})
		}
		a := solve(t, task)
		for i, number := range a.Numbers {
			off := (number.Exact - number.Before) / a.Estimate.Numbers[i].Uncertainty
			squares += off * off
			numbers++
		}
		chi += a.Estimate.ChiSquare
		freedom += float64(a.Estimate.Freedom)
		alarm := false
		for _, r := range a.Estimate.Residuals {
			alarm = alarm || r.Outlier
		}
		if alarm {
			alarmed++
		}
	}
	t.Logf("(x/u)² %.3f, χ²/freedom %.3f, %d of %d alarmed", squares/numbers, chi/freedom, alarmed, count)
	// Numbers of one design hang together: their mean square has the spread of
	// the designs at worst.
	if got := squares / numbers; math.Abs(got-1) > 4*math.Sqrt(2.0/count) {
		t.Errorf("mean of (x/u)² is %g", got)
	}
	if got := chi / freedom; math.Abs(got-1) > 4*math.Sqrt(2/freedom) {
		t.Errorf("χ² by its freedom is %g", got)
	}
	if limit := OutlierLevel*count + 4*math.Sqrt(OutlierLevel*count); float64(alarmed) > limit {
		t.Errorf("%d of %d alarmed", alarmed, count)
	}
}

// A measurement misread by a whole centimetre, and a second one by half, are
// named and no others; the first hides the second from a plain look.
func TestOutliersAreNamed(t *testing.T) {
	draw := rand.New(rand.NewPCG(11, 2))
	for n := 0; n < 20; {
		document, varied := plantedDesign(draw)
		d := decode(t, document)
		goals := readingsOf(t, d, 0.3, func() float64 { return 0 })
		if goals == nil {
			continue
		}
		n++
		goals[4].Target += 10
		goals[10].Target -= 5
		task := &Task{Design: d, Goals: goals, Mockup: true, Keep: Keep{ShutsFlat: true}, Starts: 1}
		for _, pointer := range varied {
			task.Vary = append(task.Vary, Vary{Pointer: pointer})
		}
		a := solve(t, task)
		for i, r := range a.Estimate.Residuals {
			if r.Outlier != (i == 4 || i == 10) {
				t.Errorf("%s: %s (%d): outlier %t, studentised %.3g, leverage %.2g", document, goals[i].Measure, i, r.Outlier, r.Studentised, r.Leverage)
			}
		}
	}
}
