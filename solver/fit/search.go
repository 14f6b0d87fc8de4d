package fit

import (
	"math"
	"math/rand/v2"
	"slices"
)

// Spreads of the starts around the present values: far enough to find another
// way a mechanism can stand, near enough to be the same design.
const (
	lengthReach  = 0.4  // of the present value,
	leastReach   = 10.0 // mm, but at least so much
	angleReach   = 30.0 // degrees
	sortsAside   = 0.5  // scales by which answers must differ to be two
	mostAnswers  = 4
	contractions = 4 // how often a start that is nowhere is brought nearer
)

// starts are the free numbers to start from, the present ones first.
func (p *problem) starts(count int) [][]float64 {
	draw := rand.New(rand.NewPCG(p.task.Seed, 1))
	list := make([][]float64, count)
	for s := range list {
		list[s] = make([]float64, len(p.space.free))
		for k, i := range p.space.free {
			n := &p.numbers[i]
			v := n.start
			if s > 0 {
				reach := max(leastReach, lengthReach*math.Abs(n.start))
				if n.Angle {
					reach = angleReach * n.per
				}
				v += reach * (2*draw.Float64() - 1)
			}
			list[s][k] = min(n.hi, max(n.lo, v))
		}
	}
	return list
}

// search runs from every start and gives the answers that lie apart, the best
// first: those that keep the conditions before the others, the cheaper first.
func (p *problem) search(count int, progress func(done, of int)) []*point {
	var found []*point
	for i, y := range p.starts(count) {
		if p.stop() {
			break
		}
		q := p.descend(y)
		for range contractions {
			if q != nil || i == 0 {
				break
			}
			for k, n := range p.space.free {
				y[k] = (y[k] + p.numbers[n].start) / 2
			}
			q = p.descend(y)
		}
		if q != nil {
			found = append(found, q)
		}
		progress(i+1, count)
	}
	slices.SortStableFunc(found, func(a, b *point) int {
		switch {
		case a.keeps() != b.keeps():
			if a.keeps() {
				return -1
			}
			return 1
		case !a.keeps() && a.over != b.over:
			return compare(a.over, b.over)
		}
		return compare(a.cost, b.cost)
	})
	var apart []*point
	for _, q := range found {
		if !slices.ContainsFunc(apart, func(other *point) bool { return p.same(q, other) }) {
			apart = append(apart, q)
		}
	}
	return apart
}

// nearly is how much two costs may differ by where a search stopped.
const nearly = 1e-7

func compare(a, b float64) int {
	switch {
	case math.Abs(a-b) <= nearly*(math.Abs(a)+math.Abs(b)):
		return 0
	case a < b:
		return -1
	}
	return 1
}

func (p *problem) same(a, b *point) bool {
	for i := range p.numbers {
		if n := &p.numbers[i]; math.Abs(a.at[i]-b.at[i]) > max(sortsAside*n.scale, 2*n.step) {
			return false
		}
	}
	return true
}

// met tells whether all goals are within their tolerances, by which the values
// may miss for rounding.
func (p *problem) met(values []float64) bool {
	for i := range p.goals {
		if !p.goals[i].met(values[i]) {
			return false
		}
	}
	return true
}

// roundsIn lets a value count that is as far off as it may be but for rounding.
const roundsIn = 1e-6

func (g *goal) met(value float64) bool {
	return math.Abs(g.off(value)) <= g.tol*(1+roundsIn)
}
