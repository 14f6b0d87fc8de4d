package fit

import (
	"slices"

	"foldwright/solver/design"
	"foldwright/solver/finding"
)

// held is an answer on the grid that was checked.
type held struct {
	Solution
	from   *point // before rounding
	after  []finding.Finding
	bad    *finding.Finding // one that may not come
	limits []Limit
	// refused is whether all goals would be met but for the checks.
	refused bool
}

// stopped tells whether the checks stand in the way.
func (h *held) stopped() bool {
	return slices.ContainsFunc(h.limits, func(l Limit) bool { return l.Kind == AtNewFinding })
}

// withChecks are the goals that are not met, with the condition that no error may
// come: what is left to blame where goals and other conditions can hold.
func (x *answering) withChecks() []Party {
	var list []Party
	for i := range x.Goals {
		if !x.Goals[i].Met {
			list = append(list, Party{Goal: x.p.goals[i].number})
		}
	}
	return append(list, Party{Goal: -1, Condition: noNewErrors})
}

// retreats is how often the way back to the present values is halved when the
// checks find a new error.
const retreats = 6

// hold rounds an answer and has the design checked. Where that finds what is not
// to be, the answer goes back towards the present values until it does not, and
// from there on past what stands in the way, if it can.
func (x *answering) hold(q *point) held {
	p := x.p
	whole := x.rounded(q)
	if whole.bad == nil {
		whole.limits = p.limits(q)
		return whole
	}
	limit := Limit{Kind: AtNewFinding, Of: whole.bad.Pointer, Code: whole.bad.Code}
	present := make([]float64, len(p.space.free))
	for k, i := range p.space.free {
		present[k] = p.numbers[i].start
	}
	lo, hi := 0.0, 1.0
	between := func(part float64) []float64 {
		y := make([]float64, len(present))
		for k := range y {
			y[k] = present[k] + part*(q.y[k]-present[k])
		}
		return y
	}
	best := held{Solution: x.solution(nil, nil), after: x.Before}
	for range retreats {
		part := (lo + hi) / 2
		back := p.evaluate(between(part), true)
		if back == nil || p.stop() {
			hi = part
			continue
		}
		s := x.rounded(back)
		if s.bad != nil {
			hi = part
			continue
		}
		lo, best = part, s
	}
	if best.from != nil {
		best = x.goPast(best, between(hi))
	}
	best.limits = append(best.limits, limit)
	best.refused = whole.Met && q.keeps()
	return best
}

// goPast seeks a better answer than the one that went straight back: of the
// numbers, each that takes away what the checks find at a point beyond when it
// alone is as in the answer is kept from going further, and the others are
// sought anew.
func (x *answering) goPast(back held, beyond []float64) held {
	p := x.p
	best := back
	for k, i := range p.space.free {
		n := &p.numbers[i]
		at := back.Numbers[i].After * n.per
		y := slices.Clone(beyond)
		y[k] = at
		if p.stop() || at == n.start || x.newError(p.findings(p.designAt(y))) != nil {
			continue
		}
		lo, hi := n.lo, n.hi
		if at < n.start {
			n.lo = at
		} else {
			n.hi = at
		}
		q := p.descend(back.from.y)
		if q != nil && q.keeps() {
			if s := x.rounded(q); s.bad == nil && s.Misfit < best.Misfit {
				s.limits = slices.DeleteFunc(p.limits(q), func(l Limit) bool { return l.Kind == AtBound && l.Of == n.Pointer })
				best = s
			}
		}
		n.lo, n.hi = lo, hi
	}
	return best
}

// designAt is the design at a point, whatever it keeps.
func (p *problem) designAt(y []float64) *design.Design {
	at := make([]float64, len(p.numbers))
	p.space.numbers(at, y)
	d := p.start.Clone()
	for i := range p.numbers {
		number, _ := d.Number(p.numbers[i].Pointer)
		number.Set(p.numbers[i].shown(at[i]))
	}
	return d
}

// rounded puts a point on the grid and has the design checked.
func (x *answering) rounded(q *point) held {
	s := held{Solution: x.solution(q, x.p.onGrid(q)), from: q}
	s.after = x.p.findings(s.Design)
	s.bad = x.newError(s.after)
	return s
}

// newError is a finding that the design as it is does not have and that may not
// come; nil where there is none.
func (x *answering) newError(found []finding.Finding) *finding.Finding {
	for i := range found {
		f := &found[i]
		if x.p.forbids(f) && !slices.ContainsFunc(x.Before, func(b finding.Finding) bool {
			return b.Code == f.Code && b.Mechanism == f.Mechanism
		}) {
			return f
		}
	}
	return nil
}
