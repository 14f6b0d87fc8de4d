package fit

import "math"

// nameOutliers leaves out the measurement that is furthest off, fits again, and
// so on while one is too far off, so that one does not hide another or bend the
// fit away from a good one. Those that the last fit bears out after all are taken
// back. The fit itself keeps them all: what to do about a misread length is for
// its reader to say.
func (p *problem) nameOutliers(e *Estimate, q *point) {
	critical := math.Sqrt2 * math.Erfinv(1-OutlierLevel/float64(len(p.goals)))
	out := make([]bool, len(p.goals))
	residuals, clean := e.Residuals, q
	kept := p.without(out)
	named := 0
	for named < min(e.Freedom, len(p.goals)-1) && !p.stop() {
		worst := -1
		for i := range residuals {
			if t := math.Abs(residuals[i].Studentised); t > critical && (worst < 0 || t > math.Abs(residuals[worst].Studentised)) {
				worst = i
			}
		}
		if worst < 0 {
			break
		}
		out[kept.goals[worst].number] = true
		named++
		next := p.without(out)
		again := next.fitFrom(clean.y)
		if again == nil {
			break
		}
		kept, clean = next, again
		residuals = kept.linearAt(clean).residuals(kept.residualsAt(clean))
	}
	// A good measurement named before the fit had come clear of the bad ones
	// comes back, and may bring the fit nearer to others.
	for named > 0 && p.takeBack(e, out, kept, clean, critical) && !p.stop() {
		kept = p.without(out)
		if again := kept.fitFrom(clean.y); again != nil {
			clean = again
		}
	}
}

// fitFrom is the better fit of those near a point and near the present values.
func (p *problem) fitFrom(y []float64) *point {
	a, b := p.descend(y), p.descend(p.starts(1)[0])
	if a == nil || b != nil && b.cost < a.cost {
		return b
	}
	return a
}

// without is the problem without some of the measurements.
func (p *problem) without(out []bool) *problem {
	some := *p
	some.goals = nil
	for i := range p.goals {
		if !out[i] {
			g := p.goals[i]
			g.number = i
			some.goals = append(some.goals, g)
		}
	}
	return &some
}

// takeBack tells for every measurement left out what the others say, and whether
// it is too far from that for the uncertainties of both. One that is not, the
// nearest, is no longer left out; false when there is none.
func (p *problem) takeBack(e *Estimate, out []bool, kept *problem, clean *point, critical float64) bool {
	whole := p.evaluate(clean.y, true)
	if whole == nil {
		return false
	}
	l := kept.linearAt(clean)
	rest := p.residualsAt(whole)
	judged := l.residuals(kept.residualsAt(clean))
	for k := range kept.goals {
		e.Residuals[kept.goals[k].number].WithoutIt = judged[k].WithoutIt
	}
	nearest, least := -1, critical
	for i := range out {
		e.Residuals[i].Outlier = out[i]
		if !out[i] {
			continue
		}
		predicted := 0.0 // variance of what the others say, in that of the measurement
		for d := range l.rank {
			along := 0.0
			for k, n := range p.space.free {
				along += whole.slopes[i][k] * p.numbers[n].scale * l.v.At(k, d)
			}
			predicted += along * along / (l.sigma[d] * l.sigma[d])
		}
		e.Residuals[i].WithoutIt = rest[i]
		if t := math.Abs(rest[i]) / math.Sqrt(1+predicted); t < least {
			nearest, least = i, t
		}
	}
	if nearest < 0 {
		return false
	}
	out[nearest] = false
	e.Residuals[nearest].Outlier = false
	return true
}
