package tolerance

import (
	"foldwright/solver/design"
	"foldwright/solver/kinematics"
	"foldwright/solver/measure"
)

// Task is what to spread through a design.
type Task struct {
	Design *design.Design
	Errors Errors
	Law    Law
	// Halves replaces the half-width of single causes, by their ID.
	Halves map[string]float64
	Goals  []Goal
	// Samples is how many copies are drawn, and Checked how many of them are
	// examined; either may be 0.
	Samples, Checked int
	Seed             uint64
	// Give is how far the sides of a mechanism may be from matching before it
	// fails to shut, mm: creases and panels give a little.
	Give float64
	// Yield is the share of copies wanted good, less than 1, and Copies how
	// many good ones.
	Yield  float64
	Copies int
	// Stop is asked between copies whether to give up; nil never does.
	Stop func() bool
	// Progress is told how many copies are done; nil is told nothing.
	Progress func(done, of int)
}

// Goal is a measure at one set of driver values, and the limits within which a
// copy is good, in mm or radians; infinite where there is none.
type Goal struct {
	measure.Reading
	AtLeast, AtMost float64
}

func (g *Goal) meets(v float64) bool { return v >= g.AtLeast && v <= g.AtMost }

// Result is what comes of the errors.
type Result struct {
	Causes   []Cause
	Measures []Spread
	// Shut has the mechanisms with two sides to match.
	Shut   []Mismatch
	Checks []Chance
	Yield  Yield
	// Ranked is the causes by what they add to all measures together, the
	// greatest first, as places in Causes.
	Ranked []Rank
	// Samples and Checked are how many copies were drawn and examined.
	Samples, Checked int
}

// Spread is how one measure comes out, in mm or radians.
type Spread struct {
	Goal
	Nominal float64
	// Deviation is the standard uncertainty to first order, and Rates the rates
	// by each cause; NaN where the measure has no rate.
	Deviation float64
	Rates     []float64
	// Mean, Sampled (the standard deviation) and the bounds that 95 of 100
	// copies are within come from the copies drawn that reach the driver
	// values; Unreached is the share that does not.
	Mean, Sampled, Low, High float64
	Unreached                float64
	// Good is the share of the copies within the limits.
	Good float64
	// Curved is whether first order is not enough: the two deviations differ by
	// more than chance would have it.
	Curved bool
}

// Mismatch is how far a mechanism's two sides are from matching when shut, mm; of
// a V-fold at the far end of its longest side.
type Mismatch struct {
	Mechanism int
	// High is what 95 of 100 copies stay within.
	Nominal, Mean, High float64
	// Felt is the share of copies off by more than the paper gives.
	Felt float64
}

// Rank is a cause with its share of the variance: of each measure, and on the
// whole, which is the mean over the measures that have a spread.
type Rank struct {
	Cause   int
	Share   float64
	Of      []float64
	Allowed Allowance
}

// readings are measures at their driver values, and the goals they are of.
type readings struct {
	list  []measure.Reading
	goals []int
}

// readings lists what the goals read, apart from what is read with the book shut.
func (t *Task) readings() (open, shut readings) {
	for i := range t.Goals {
		some := &open
		if t.Goals[i].Drive.Opening == 0 {
			some = &shut
		}
		some.list, some.goals = append(some.list, t.Goals[i].Reading), append(some.goals, i)
	}
	return open, shut
}

func (t *Task) stopped() bool { return t.Stop != nil && t.Stop() }

// Run spreads the errors. It fails only by ErrStopped, and on what is no number
// of the design.
func Run(t *Task) (*Result, error) {
	d := t.Design.WrittenOut()
	a := kinematics.Compile(d)
	r := &Result{Causes: Causes(d, t.Errors), Samples: t.Samples, Checked: min(t.Checked, t.Samples)}
	for i := range r.Causes {
		if half, given := t.Halves[r.Causes[i].ID]; given {
			r.Causes[i].Half = half
		}
	}
	if err := r.spreadLinearly(t, a); err != nil {
		return nil, err
	}
	copies, err := r.sample(t, d)
	if err != nil {
		return nil, err
	}
	r.sumUp(t, copies)
	return r, r.rank(t)
}
