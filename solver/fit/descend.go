package fit

import "math"

const (
	// stepsAtMost bounds one search. Most end in ten to twenty steps.
	stepsAtMost = 60
	// settled is the step, in scales, below which a search ends: a millionth of
	// a millimetre.
	settled = 1e-7
	// A search that in stallSteps gains less than the part stalled of its cost is
	// at a corner of a goal or a condition, and near enough.
	stallSteps = 10
	stalled    = 1e-3
	// Damping: where it starts and how far it goes, as a part of each diagonal
	// element (Marquardt).
	firstDamping = 1e-3
	leastDamping = 1e-12
	mostDamping  = 1e10
)

// descend goes from a point to a least cost near it; nil where there is nothing
// to start from.
func (p *problem) descend(y []float64) *point {
	at := p.evaluate(y, true)
	if at == nil {
		return nil
	}
	damping, penalty := firstDamping, 1.0
	watched := at.cost
	for n := range stepsAtMost {
		if p.stop() {
			break
		}
		if n%stallSteps == stallSteps-1 {
			if at.keeps() && at.cost > watched*(1-stalled) {
				break
			}
			watched = at.cost
		}
		p.steps++
		step, dearest := p.step(at, damping)
		if step == nil {
			break
		}
		penalty = max(penalty, 1.5*dearest+1)
		length := 0.0
		next := make([]float64, len(step))
		for k, i := range p.space.free {
			next[k] = at.y[k] + step[k]
			length = max(length, math.Abs(step[k])/p.numbers[i].scale)
		}
		tried := p.restore(p.evaluate(next, true))
		for range corrections {
			if tried == nil || p.stop() || tried.better(at, penalty) {
				break
			}
			tried = p.correct(tried)
		}
		if tried != nil && tried.better(at, penalty) {
			at = tried
			damping = max(leastDamping, damping/8)
			if length < settled {
				break
			}
			continue
		}
		if damping *= 6; damping > mostDamping || length < settled {
			break
		}
	}
	return at
}

// better tells whether the penalty function is lower.
func (q *point) better(than *point, penalty float64) bool {
	return q.cost+penalty*q.over < (than.cost+penalty*than.over)*(1-1e-14)
}

// corrections is how often a step that is no better is mended before it is
// refused.
const corrections = 2

// correct brings a point back to the goals, as restore does to the conditions.
// Goals bend away under a step like conditions; where they are met and only the
// pull is left, a step along them would be refused until it is tiny.
func (p *problem) correct(q *point) *point {
	goals := *q
	goals.rest = q.rest[:len(p.goals)]
	back, _, ok := p.stepFor(&goals, leastDamping, 1)
	if !ok {
		return nil
	}
	next := make([]float64, len(back))
	for k := range next {
		next[k] = q.y[k] + back[k]
	}
	return p.restore(p.evaluate(next, true))
}

// restorations is how often a point is brought back to conditions that bend away
// under a step; each squares what is lacking.
const restorations = 3

// restore brings a point back to where the conditions hold by the nearest way
// that their slopes tell. Without it a step along a bent condition would lack
// something each time, and be refused until it is tiny.
func (p *problem) restore(q *point) *point {
	for range restorations {
		if q == nil || q.keeps() || p.stop() {
			break
		}
		back, _, ok := p.stepFor(&point{rows: q.rows}, 1, 1)
		if !ok {
			break
		}
		next := make([]float64, len(back))
		for k := range next {
			next[k] = q.y[k] + back[k]
		}
		nearer := p.evaluate(next, true)
		if nearer == nil || nearer.over >= q.over {
			break
		}
		q = nearer
	}
	return q
}

// step solves for one step: what it is, and the dearest condition.
func (p *problem) step(at *point, damping float64) (step []float64, dearest float64) {
	// Where not everything that is lacking can be had at once, part of it.
	for _, part := range [...]float64{1, 0.5, 0.2, 0.05, 0} {
		if p.stop() {
			break
		}
		step, multipliers, ok := p.stepFor(at, damping, part)
		if !ok {
			continue
		}
		for _, m := range multipliers {
			dearest = max(dearest, m)
		}
		return step, dearest
	}
	return nil, 0
}

// stepFor solves for the step that makes good part of what the conditions lack,
// and the multiplier of each condition.
func (p *problem) stepFor(at *point, damping, part float64) (step, multipliers []float64, ok bool) {
	n := len(p.space.free)
	scale := make([]float64, n)
	for k, i := range p.space.free {
		scale[k] = p.numbers[i].scale
	}
	h, g := make([][]float64, n), make([]float64, n)
	for k := range h {
		h[k] = make([]float64, n)
		for i, rest := range at.rest {
			slope := at.slopes[i]
			if slope[k] == 0 {
				continue
			}
			g[k] += slope[k] * rest * scale[k]
			for j := 0; j <= k; j++ {
				h[k][j] += slope[k] * slope[j] * scale[k] * scale[j]
			}
		}
	}
	for k := range h {
		// Each by its own curvature, so that what only the pull acts on is free.
		h[k][k] += damping * max(h[k][k], leastCurvature)
	}
	rows, room := make([][]float64, len(at.rows)), make([]float64, len(at.rows))
	for i := range at.rows {
		rows[i] = make([]float64, n)
		for k := range rows[i] {
			rows[i][k] = at.rows[i].slope[k] * scale[k]
		}
		if room[i] = -at.rows[i].value; room[i] > 0 {
			room[i] *= part
		}
	}
	step, multipliers, ok = stepWithin(h, g, rows, room, p.stop)
	for k := range step {
		step[k] *= scale[k]
	}
	return step, multipliers, ok
}

// leastCurvature stands for the curvature where nothing changes the cost.
const leastCurvature = 1e-9
