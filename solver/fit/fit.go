package fit

import (
	"slices"

	"foldwright/solver/check"
	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/kinematics"
)

// Solve finds numbers for a task. It ends early, with the best so far, once stop
// returns true; progress, which may be nil, is told of searches done. Faults of
// the task are a *Refused.
func Solve(task *Task, stop func() bool, progress func(done, of int)) (*Answer, error) {
	if progress == nil {
		progress = func(int, int) {}
	}
	p, err := prepare(task, stop)
	if err != nil {
		return nil, err
	}
	count := task.Starts
	if count == 0 {
		count = DefaultStarts
	}
	x := &answering{p: p, now: p.presentValues(), Answer: &Answer{Runs: count}}
	found := p.search(count, progress)
	x.Before = p.findings(task.Design)
	x.answer(found)
	x.Steps = p.steps
	return x.Answer, nil
}

// Check tells whether a task has faults, as Solve would.
func Check(task *Task) error {
	_, err := prepare(task, func() bool { return false })
	return err
}

// answering makes an answer of what searches found.
type answering struct {
	*Answer
	p   *problem
	now []float64 // values of the goals as the design is
}

func (x *answering) answer(found []*point) {
	p := x.p
	if len(found) == 0 {
		// Nothing could be looked at: the design as it is.
		x.Solution = x.solution(nil, nil)
		x.After = x.Before
		if !p.task.Mockup && !p.stop() {
			x.Conflict = p.conflict()
		}
		return
	}
	best := found[0]
	held := x.hold(best)
	x.Solution, x.After = held.Solution, held.after
	x.Met = x.Met && best.keeps() && len(p.space.broken) == 0
	x.Limits = held.limits
	for _, q := range found[1:] {
		if len(x.Alternatives) == mostAnswers-1 || p.stop() {
			break
		}
		if !x.Met || !q.keeps() || !p.met(q.values) {
			continue
		}
		if other := x.rounded(q); other.bad == nil && other.Met && !x.told(&other.Solution) {
			x.Alternatives = append(x.Alternatives, other.Solution)
		}
	}
	switch {
	case p.task.Mockup:
		x.Estimate = p.estimate(best)
	case len(p.space.broken) > 0:
		for _, condition := range p.space.broken {
			x.Conflict = append(x.Conflict, Party{Goal: -1, Condition: condition})
		}
	case !x.Met && !p.stop():
		if !held.refused {
			x.Conflict = p.conflict()
		}
		if x.Conflict == nil && held.stopped() {
			x.Conflict = x.withChecks()
		}
	}
}

// told tells whether a solution came out the same as one told already.
func (x *answering) told(s *Solution) bool {
	equal := func(other *Solution) bool {
		return slices.EqualFunc(s.Numbers, other.Numbers, func(a, b Setpoint) bool { return a.After == b.After })
	}
	return equal(&x.Solution) || slices.ContainsFunc(x.Alternatives, func(o Solution) bool { return equal(&o) })
}

// forbids tells whether a new finding breaks a condition.
func (p *problem) forbids(f *finding.Finding) bool {
	switch f.Code {
	case finding.CannotShut, finding.NotFlatWhenShut:
		return p.task.Keep.ShutsFlat || p.task.Keep.NoNewErrors && f.Severity == finding.Error
	case finding.CannotOpenFully:
		return p.task.Keep.OpensFully || p.task.Keep.NoNewErrors
	}
	return p.task.Keep.NoNewErrors && f.Severity == finding.Error
}

// findings are those of a design, without remedies; none once the task is
// stopped.
func (p *problem) findings(d *design.Design) []finding.Finding {
	if p.stop() {
		return nil
	}
	return check.Findings(kinematics.Compile(d), p.stop)
}

// presentValues are the goals' values as the design is.
func (p *problem) presentValues() []float64 {
	values := make([]float64, len(p.goals))
	p.measureInto(values, p.start)
	return values
}

// solution tells of a point on the grid what there is to tell; q is the answer it
// comes from. Without either it is the design as it is, without the former what
// was found, as finely as numbers are written.
func (x *answering) solution(q, on *point) Solution {
	p := x.p
	s := Solution{Design: p.start.Clone()}
	for i := range p.numbers {
		n := &p.numbers[i]
		set := Setpoint{Pointer: n.Pointer, Unit: n.Unit(), Before: n.shown(n.start), After: n.shown(n.start), Exact: n.shown(n.start)}
		if q != nil {
			set.Exact = n.shown(q.at[i])
			set.After = set.Exact
			if on != nil {
				set.After = n.shown(on.at[i])
			}
			number, _ := s.Design.Number(n.Pointer)
			number.Set(set.After)
		}
		set.OnGrid = n.onGrid(set.After)
		s.Numbers = append(s.Numbers, set)
	}
	values := make([]float64, len(p.goals))
	p.measureInto(values, s.Design)
	s.Met = true
	for i := range p.goals {
		g := &p.goals[i]
		scale := g.reading.Measure.Scale
		r := Reached{Opening: g.reading.Drive.Opening, Tolerance: g.tol / scale, Unit: g.reading.Measure.Unit, Before: x.now[i] / scale, After: values[i] / scale, Exact: values[i] / scale}
		if q != nil {
			r.Exact = q.values[i] / scale
		}
		r.Off = g.off(values[i]) / scale
		r.Met = g.met(values[i])
		s.Met = s.Met && r.Met
		off := g.off(values[i]) / g.tol * g.root
		s.Misfit += off * off
		s.Goals = append(s.Goals, r)
	}
	if s.Exact = s.Misfit; q != nil {
		s.Exact = q.misfit
	}
	return s
}

// limits are the conditions an answer rests on: those a further step would be
// held back by.
func (p *problem) limits(q *point) []Limit {
	_, multipliers, ok := p.stepFor(q, leastDamping, 1)
	if !ok {
		return nil
	}
	var list []Limit
	for i, m := range multipliers {
		// At an answer the pull alone presses with far less than this.
		if m > pressing && q.rows[i].value < 1e-3 && !slices.Contains(list, q.rows[i].limit) {
			list = append(list, q.rows[i].limit)
		}
	}
	return list
}

// pressing is the multiplier above which a condition is told: the misfit falls by
// at least so much for each millimetre or degree it is eased.
const pressing = 1e-2
