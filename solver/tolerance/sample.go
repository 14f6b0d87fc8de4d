package tolerance

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"

	"foldwright/solver/clearance"
	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/kinematics"
	"foldwright/solver/measure"
)

// ErrStopped is the error of a task that was given up.
var ErrStopped = errors.New("tolerance: stopped")

// copies is what was drawn.
type copies struct {
	values   [][]float64 // by measure, then by copy
	mismatch [][]float64 // by mechanism with sides to match, then by copy
	faults   []faults    // of the copies examined
}

// faults are the checks a copy fails, each once per mechanism.
type faults map[fault]bool

type fault struct {
	code      finding.Code
	mechanism int
}

// work is a design whose numbers are set to those of one copy after another.
type work struct {
	d       *design.Design
	numbers []design.Number
	drawn   []float64 // as drawn, in mm or radians
	shares  [][]share // of each cause
}

type share struct {
	number int
	per    float64
}

func newWork(d *design.Design, causes []Cause) *work {
	w := &work{d: d.Clone(), shares: make([][]share, len(causes))}
	places := map[string]int{}
	for i := range w.d.Mechanisms {
		for _, n := range w.d.Numbers(i) {
			places[n.Pointer] = len(w.numbers)
			w.numbers = append(w.numbers, n)
			w.drawn = append(w.drawn, inside(n))
		}
	}
	for k := range causes {
		for _, n := range w.numbers {
			if per, ok := causes[k].Direction[n.Pointer]; ok {
				w.shares[k] = append(w.shares[k], share{places[n.Pointer], per})
			}
		}
	}
	return w
}

// set gives the numbers the errors, one for each cause.
func (w *work) set(drawn []float64) {
	values := append([]float64{}, w.drawn...)
	for k, e := range drawn {
		for _, s := range w.shares[k] {
			values[s.number] += s.per * e
		}
	}
	for i, n := range w.numbers {
		n.Set(values[i] / n.Scale())
	}
}

// sample draws the copies and takes everything that is asked of each.
func (r *Result) sample(t *Task, d *design.Design) (*copies, error) {
	w := newWork(d, r.Causes)
	pairs := pairsOf(w.d)
	for k := range pairs {
		r.Shut = append(r.Shut, Mismatch{Mechanism: pairs[k].mechanism, Nominal: pairs[k].apart()})
	}
	out := &copies{values: grid(len(t.Goals), t.Samples), mismatch: grid(len(pairs), t.Samples)}
	random := rand.New(rand.NewPCG(t.Seed, 0))
	drawn := make([]float64, len(r.Causes))
	for n := range t.Samples {
		if t.stopped() {
			return nil, ErrStopped
		}
		if n > 0 && len(r.Causes) == 0 {
			out.repeat(n, r.Checked)
			continue
		}
		for k := range drawn {
			drawn[k] = r.Causes[k].Half * t.Law.draw(random)
		}
		w.set(drawn)
		for k := range pairs {
			out.mismatch[k][n] = pairs[k].apart()
		}
		if len(t.Goals) > 0 || n < r.Checked {
			out.take(t, w.d, pairs, n, n < r.Checked)
		}
		if t.Progress != nil {
			t.Progress(n+1, t.Samples)
		}
	}
	if t.stopped() {
		return nil, ErrStopped // perhaps in the last copy's exam
	}
	return out, nil
}

// take takes the measures of copy n, and examines it if that is asked. What is
// measured with the book shut is taken last, since that presses the sides of d
// together.
func (c *copies) take(t *Task, d *design.Design, pairs []pair, n int, examined bool) {
	a := kinematics.Compile(d)
	if examined {
		c.faults = append(c.faults, faultsOf(a, pairs, t.Give, t.Stop))
	}
	open, shut := t.readings()
	c.read(a, open, n)
	if len(shut.list) == 0 {
		return
	}
	shuts := press(d, pairs, t.Give)
	c.read(kinematics.Compile(d), shut, n)
	for k, i := range shut.goals {
		if !holds(a, &shut.list[k].Measure, shuts) {
			c.values[i][n] = math.NaN()
		}
	}
}

func (c *copies) read(a *kinematics.Assembly, some readings, n int) {
	values := make([]float64, len(some.list))
	measure.NewReadings(a, some.list).Values(values)
	for k, i := range some.goals {
		c.values[i][n] = values[k]
	}
}

// repeat makes copy n the same as the first.
func (c *copies) repeat(n, examined int) {
	for _, rows := range [][][]float64{c.values, c.mismatch} {
		for i := range rows {
			rows[i][n] = rows[i][0]
		}
	}
	if n < examined {
		c.faults = append(c.faults, c.faults[0])
	}
}

func grid(rows, columns int) [][]float64 {
	out := make([][]float64, rows)
	for i := range out {
		out[i] = make([]float64, columns)
	}
	return out
}

// faultsOf are the checks of the motion that a copy fails. A mismatch that the
// paper gives to is none.
func faultsOf(a *kinematics.Assembly, pairs []pair, give float64, stop func() bool) faults {
	out := faults{}
	for _, f := range clearance.Examine(a, nil, clearance.Everything|clearance.Coarse, stop).Findings {
		if f.Severity == finding.Note {
			continue
		}
		if f.Code == finding.CannotShut || f.Code == finding.NotFlatWhenShut {
			if slices.ContainsFunc(pairs, func(p pair) bool { return p.mechanism == f.Mechanism && p.apart() <= give }) {
				continue
			}
		}
		out[fault{f.Code, f.Mechanism}] = true
	}
	return out
}
