package tolerance

import (
	"errors"
	"math/rand/v2"

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
	out := &copies{values: grid(len(t.Goals), t.Samples)}
	for i := range d.Mechanisms {
		if off, ok := mismatch(d, i); ok {
			r.Shut = append(r.Shut, Mismatch{Mechanism: i, Nominal: off})
		}
	}
	out.mismatch = grid(len(r.Shut), t.Samples)
	random := rand.New(rand.NewPCG(t.Seed, 0))
	drawn, values := make([]float64, len(r.Causes)), make([]float64, len(t.Goals))
	for n := range t.Samples {
		if t.Stop != nil && t.Stop() {
			return nil, ErrStopped
		}
		for k := range drawn {
			drawn[k] = r.Causes[k].Half * t.Law.draw(random)
		}
		w.set(drawn)
		for s := range r.Shut {
			out.mismatch[s][n], _ = mismatch(w.d, r.Shut[s].Mechanism)
		}
		if len(t.Goals) == 0 && n >= r.Checked {
			continue
		}
		a := kinematics.Compile(w.d)
		measure.NewReadings(a, t.readings()).Values(values)
		for i, v := range values {
			out.values[i][n] = v
		}
		if n < r.Checked {
			out.faults = append(out.faults, faultsOf(a, t.Give))
		}
		if t.Progress != nil {
			t.Progress(n+1, t.Samples)
		}
	}
	return out, nil
}

func grid(rows, columns int) [][]float64 {
	out := make([][]float64, rows)
	for i := range out {
		out[i] = make([]float64, columns)
	}
	return out
}

// mismatch is how far the sides of mechanism i are from matching, mm.
func mismatch(d *design.Design, i int) (off float64, ok bool) {
	amount, ok := clearance.Mismatch(d, i)
	return clearance.Arc(d, i, amount), ok
}

// faultsOf are the checks of the motion that a copy fails. A mismatch that the
// paper gives to is none.
func faultsOf(a *kinematics.Assembly, give float64) faults {
	out := faults{}
	for _, f := range clearance.Examine(a, nil, clearance.Everything|clearance.Coarse).Findings {
		if f.Severity == finding.Note {
			continue
		}
		if f.Code == finding.CannotShut || f.Code == finding.NotFlatWhenShut {
			if off, ok := mismatch(a.Design, f.Mechanism); ok && off <= give {
				continue
			}
		}
		out[fault{f.Code, f.Mechanism}] = true
	}
	return out
}
