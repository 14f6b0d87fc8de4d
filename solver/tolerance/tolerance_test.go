package tolerance

import (
	"fmt"
	"math"
	"math/rand/v2"
	"sort"
	"testing"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/measure"
	"foldwright/testdata/designs"
)

// Source: JCGM 100:2008, H.1, calibration of an end gauge: contributions of 25,
// 9.7, 2.9 and 16.6 nm give a combined standard uncertainty of 32 nm. From memory.
func TestCombineEndGauge(t *testing.T) {
	got := Combine([]float64{1, 1, 1, 1}, []float64{25, 9.7, 2.9, 16.6})
	if math.Round(got) != 32 {
		t.Errorf("%g nm, want 32", got)
	}
}

// Source: JCGM 100:2008, 5.1.6: of a product of powers the relative variances add,
// each times the square of its power. Here a volume πr²h.
func TestCombineProduct(t *testing.T) {
	r, h, ur, uh := 12.0, 40.0, 0.03, 0.11
	v := math.Pi * r * r * h
	got := Combine([]float64{2 * math.Pi * r * h, math.Pi * r * r}, []float64{ur, uh}) / v
	want := math.Sqrt(4*ur*ur/(r*r) + uh*uh/(h*h))
	if math.Abs(got/want-1) > 1e-12 {
		t.Errorf("%g, want %g", got, want)
	}
}

// Source: JCGM 101:2008, 9.2: a sum of four quantities of standard deviation 1
// has the standard uncertainty 2, and 95 of 100 values within 3.92 where they are
// normal (table 2), within 3.88 where they are rectangular (table 3). From memory.
func TestSumOfFour(t *testing.T) {
	for _, row := range []struct {
		law  Law
		want float64
	}{{Normal, 3.92}, {Uniform, 3.88}} {
		random := rand.New(rand.NewPCG(7, 7))
		sums := make([]float64, 1_000_000)
		for n := range sums {
			for range 4 {
				sums[n] += row.law.draw(random) / row.law.Deviation()
			}
		}
		sort.Float64s(sums)
		_, deviation := moments(sums)
		low, high := quantile(sums, 0.025), quantile(sums, 0.975)
		if math.Abs(deviation-2) > 0.01 || math.Abs(high-row.want) > 0.02 || math.Abs(low+row.want) > 0.02 {
			t.Errorf("%s: deviation %g, from %g to %g; want 2 and ±%g", row.law, deviation, low, high, row.want)
		}
	}
}

// Source: the variance of a triangle of half-width 1 is 1/6, JCGM 100:2008, 4.3.9.
func TestTriangle(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 3))
	values := make([]float64, 200_000)
	for n := range values {
		values[n] = Triangle.draw(random)
	}
	if _, got := moments(values); math.Abs(got-1/math.Sqrt(6)) > 2e-3 {
		t.Errorf("deviation %g, want %g", got, 1/math.Sqrt(6))
	}
}

// Source: the negative binomial law, summed by hand: with p = 0.9, ten good ones
// of 12 made have the chance 0.9^10·(1 + 10·0.1 + 55·0.01) = 0.889, of 13 made
// 0.9^10·220·0.001 more = 0.966.
func TestToMake(t *testing.T) {
	for _, row := range []struct {
		p      float64
		copies int
		want   int
	}{{0.9, 10, 13}, {1, 25, 25}, {0, 5, 0}, {0.5, 1, 5}} {
		if got := toMake(row.p, row.copies); got != row.want {
			t.Errorf("%g good, %d wanted: make %d, want %d", row.p, row.copies, got, row.want)
		}
	}
}

func tent(t *testing.T) *design.Design {
	t.Helper()
	d, err := design.Decode([]byte(`{"spread":{"page_width":130,"page_height":180},"mechanisms":[
		{"id":"quay","kind":"parallel_fold","on":{"fold":"gutter"},"from":8,"to":26,"left":{"base_offset":22,"panel_width":34}}]}`))
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func goal(t *testing.T, d *design.Design, id string, opening float64) Goal {
	t.Helper()
	m, ok := measure.Find(kinematics.Compile(d), id)
	if !ok {
		t.Fatalf("no measure %s", id)
	}
	return Goal{
		Reading: measure.Reading{Measure: m, Drive: kinematics.Drive{Opening: geom.Degrees(opening)}},
		AtLeast: math.Inf(-1), AtMost: math.Inf(1),
	}
}

// Source: on the open spread the ridge of a tent with panels p, its base lines
// a₁+a₂ = B apart, is h = √(p²-(B/2)²) high when both panels are p. By ∂h/∂p = p/2h
// for each panel and ∂h/∂a = -B/4h for each base line.
func TestTentHeight(t *testing.T) {
	d := tent(t)
	task := &Task{Design: d, Errors: Errors{Gluing: 0.5, Scoring: 0.2}, Law: Uniform, Goals: []Goal{goal(t, d, "height", 180)}, Samples: 20_000, Seed: 1, Yield: 0.95, Copies: 10, Give: 1}
	r, err := Run(task)
	if err != nil {
		t.Fatal(err)
	}
	m := &r.Measures[0]
	h := math.Sqrt(34*34 - 22*22)
	if math.Abs(m.Nominal-h) > 1e-9 {
		t.Errorf("height %g, want %g", m.Nominal, h)
	}
	panel, base := 34/(2*h)*0.2/math.Sqrt(3), 44/(4*h)*0.5/math.Sqrt(3)
	if want := math.Sqrt(2*panel*panel + 2*base*base); math.Abs(m.Deviation/want-1) > 1e-9 {
		t.Errorf("deviation %g, want %g", m.Deviation, want)
	}
	if m.Curved || math.Abs(m.Sampled/m.Deviation-1) > 0.03 {
		t.Errorf("sampled %g, to first order %g", m.Sampled, m.Deviation)
	}
	if best := r.Causes[r.Ranked[0].Cause]; best.Source != Gluing || math.Abs(r.Ranked[0].Share-base*base/(2*panel*panel+2*base*base)) > 1e-9 {
		t.Errorf("first is %s with %g", best.ID, r.Ranked[0].Share)
	}
}

// Source: the difference a₁+p₁-a₂-p₂ of normal errors is normal with the variance
// 2(0.25²+0.1²); of its size the mean is √(2/π) deviations and 95 of 100 are
// within 1.96. The shut ridge, with the difference shared by both sides, is
// (a₁+p₁+a₂+p₂)/2 from the gutter, and that is independent of the difference.
func TestShut(t *testing.T) {
	d := tent(t)
	const give = 0.5
	r, err := Run(&Task{
		Design: d, Errors: Errors{Gluing: 0.5, Scoring: 0.2}, Law: Normal, Goals: []Goal{goal(t, d, "height", 0), goal(t, d, "height.quay.ridge@end", 0)},
		Samples: 40_000, Seed: 4, Give: give, Yield: 0.9, Copies: 1,
	})
	if err != nil {
		t.Fatal(err)
	}
	u := math.Sqrt(2 * (0.25*0.25 + 0.1*0.1))
	felt := math.Erfc(give / u / math.Sqrt2)
	if m := r.Shut[0]; math.Abs(m.Mean-u*math.Sqrt(2/math.Pi)) > 0.005 || math.Abs(m.High-1.959964*u) > 0.01 || math.Abs(m.Felt-felt) > 0.01 {
		t.Errorf("%+v, want deviations of %g, felt by %g", m, u, felt)
	}
	for i := range r.Measures {
		m := &r.Measures[i]
		if math.Abs(m.Nominal-56) > 1e-9 || math.Abs(m.Mean-56) > 0.01 || math.Abs(m.Sampled/(u/2)-1) > 0.02 {
			t.Errorf("%s: %g, sampled %g with %g, want 56 with %g", m.Measure.ID, m.Nominal, m.Mean, m.Sampled, u/2)
		}
		if math.Abs(m.Unreached-r.Shut[0].Felt) > 1e-12 {
			t.Errorf("%s: %g do not shut, %g are felt", m.Measure.ID, m.Unreached, r.Shut[0].Felt)
		}
	}
}

// Copies that are not examined fail the checks as often as those that are: with
// no limits, the share of good ones is that of the examined.
func TestYieldCountsChecks(t *testing.T) {
	d := tent(t)
	r, err := Run(&Task{Design: d, Errors: Errors{Gluing: 0.5}, Law: Uniform, Samples: 4000, Checked: 400, Give: 0.3, Yield: 0.9, Copies: 5})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Checks) != 1 || r.Checks[0].Share < 0.1 {
		t.Fatalf("%+v", r.Checks)
	}
	if want := 1 - r.Checks[0].Share; math.Abs(r.Yield.Good-want) > 1e-12 {
		t.Errorf("%g good, want %g", r.Yield.Good, want)
	}
}

// What no error moves has no spread, and nothing has a share in it: the ridge of
// a cut V lies in the plane of the open spread, to rounding.
func TestNoSpread(t *testing.T) {
	document, _ := designs.Read("gull")
	d, err := design.Decode(document)
	if err != nil {
		t.Fatal(err)
	}
	r, err := Run(&Task{Design: d, Errors: DefaultErrors(), Law: Uniform, Goals: []Goal{goal(t, d, "height", 180)}, Samples: 100, Yield: 0.9, Copies: 1})
	if err != nil {
		t.Fatal(err)
	}
	if m := &r.Measures[0]; m.Deviation != 0 || m.Curved || r.Ranked[0].Share != 0 {
		t.Errorf("deviation %g, curved %t, share %g", m.Deviation, m.Curved, r.Ranked[0].Share)
	}
}

// Without errors, as of a linkage, which has no numbers, all copies are as the
// first: that is all that is looked at.
func TestNoCauses(t *testing.T) {
	d := tent(t)
	asked := 0
	r, err := Run(&Task{
		Design: d, Law: Uniform, Goals: []Goal{goal(t, d, "height", 180)}, Samples: 100_000, Checked: 2000, Yield: 0.9, Copies: 1,
		Progress: func(int, int) { asked++ },
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Causes) > 0 || asked != 1 {
		t.Errorf("%d causes, %d copies looked at", len(r.Causes), asked)
	}
	if m := &r.Measures[0]; m.Sampled > 1e-9 || m.Low != m.Nominal || m.Unreached != 0 || r.Yield.Good != 1 {
		t.Errorf("%+v %+v", m, r.Yield)
	}
}

// A linear measure within ±w of a normal spread u is good erf(w/(u√2)) of the
// time, so the factor for a wanted share follows in closed form. Source: the
// normal law; u from TestTentHeight.
func TestYieldOfOneLimit(t *testing.T) {
	d := tent(t)
	g := goal(t, d, "height", 180)
	h := math.Sqrt(34*34 - 22*22)
	g.AtLeast, g.AtMost = h-0.6, h+0.6
	r, err := Run(&Task{Design: d, Errors: Errors{Gluing: 0.5}, Law: Normal, Goals: []Goal{g}, Samples: 20_000, Seed: 2, Yield: 0.95, Copies: 20, Give: 5})
	if err != nil {
		t.Fatal(err)
	}
	u := math.Sqrt2 * 44 / (4 * h) * 0.25
	if want := math.Erf(0.6 / (u * math.Sqrt2)); math.Abs(r.Yield.Good-want) > 0.01 {
		t.Errorf("%g good, want %g", r.Yield.Good, want)
	}
	if want := 0.6 / (1.959964 * u); math.Abs(r.Yield.Factor/want-1) > 0.03 {
		t.Errorf("factor %g, want %g", r.Yield.Factor, want)
	}
	if got := math.Pow(r.Yield.Good, 20); math.Abs(r.Yield.AllGood-got) > 1e-12 {
		t.Errorf("all good %g, want %g", r.Yield.AllGood, got)
	}
	for _, rank := range r.Ranked {
		if rank.Allowed.Alone < rank.Allowed.Together {
			t.Errorf("%s: alone %g, together %g", r.Causes[rank.Cause].ID, rank.Allowed.Alone, rank.Allowed.Together)
		}
	}
}

// On every example, what copies drawn with small errors spread by is what first
// order says. Source: the delta method, exact as errors vanish.
func TestSamplesAgreeWithFirstOrder(t *testing.T) {
	for _, name := range designs.Names() {
		document, _ := designs.Read(name)
		d, err := design.Decode(document)
		if err != nil {
			t.Fatal(err)
		}
		a := kinematics.Compile(d)
		task := &Task{Design: d, Errors: Errors{Gluing: 0.01, Scoring: 0.01, Cutting: 0.01, Paper: 0.0001}, Law: Uniform, Samples: 600, Seed: 5, Yield: 0.95, Copies: 1, Give: 1}
		for _, m := range measure.List(a) {
			if m.Kind != measure.Clearance && m.Kind != measure.Height { // which jump from corner to corner
				g := goal(t, d, m.ID, 100)
				task.Goals = append(task.Goals, g)
			}
		}
		r, err := Run(task)
		if err != nil {
			t.Fatal(err)
		}
		spread := 0
		for i := range r.Measures {
			m := &r.Measures[i]
			// What does not depend on the errors has rounding for a spread.
			if math.IsNaN(m.Deviation) || m.Deviation < 1e-9 {
				continue
			}
			spread++
			if m.Curved {
				t.Errorf("%s %s: %g by copies, %g to first order", name, m.Measure.ID, m.Sampled, m.Deviation)
			}
		}
		t.Logf("%s: %d of %d measures spread, %d causes", name, spread, len(r.Measures), len(r.Causes))
	}
}

func TestStop(t *testing.T) {
	d := tent(t)
	if _, err := Run(&Task{Design: d, Errors: DefaultErrors(), Samples: 10, Stop: func() bool { return true }}); err != ErrStopped {
		t.Errorf("got %v", err)
	}
}

// The same seed gives the same answer.
func TestSeeded(t *testing.T) {
	d := tent(t)
	run := func(seed uint64) string {
		r, err := Run(&Task{Design: d, Errors: DefaultErrors(), Law: Uniform, Goals: []Goal{goal(t, d, "height", 90)}, Samples: 200, Checked: 50, Seed: seed, Yield: 0.9, Copies: 5, Give: 0.5})
		if err != nil {
			t.Fatal(err)
		}
		return fmt.Sprintf("%+v %+v %+v", r.Measures[0].Mean, r.Checks, r.Yield)
	}
	if first := run(1); run(1) != first || run(2) == first {
		t.Error("the seed does not decide")
	}
}

func BenchmarkHarbour(b *testing.B) {
	document, _ := designs.Read("harbour")
	d, err := design.Decode(document)
	if err != nil {
		b.Fatal(err)
	}
	a := kinematics.Compile(d)
	var goals []Goal
	for _, id := range []string{"height", "fold.lighthouse.ridge", "tilt.lighthouse.left"} {
		m, ok := measure.Find(a, id)
		if !ok {
			b.Fatal(id)
		}
		goals = append(goals, Goal{measure.Reading{Measure: m, Drive: kinematics.Drive{Opening: geom.Degrees(90)}}, math.Inf(-1), math.Inf(1)})
	}
	for _, checked := range []int{0, 200} {
		b.Run(fmt.Sprintf("10000 copies, %d examined", checked), func(b *testing.B) {
			for b.Loop() {
				if _, err := Run(&Task{Design: d, Errors: DefaultErrors(), Law: Uniform, Goals: goals, Samples: 10_000, Checked: checked, Seed: 1, Yield: 0.95, Copies: 10, Give: 0.5}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
