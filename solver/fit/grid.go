package fit

import (
	"math"
	"slices"
)

const (
	// cornersAtMost is the most free numbers for which every corner of the grid
	// cell around an answer is considered; of more, the nearest point and its
	// neighbours are.
	cornersAtMost = 10
	// looksPerRound is how many grid points, the most promising by the slopes
	// at the best so far, are looked at in each round, and roundsAtMost how often the
	// neighbours of the best so far are.
	looksPerRound = 16
	roundsAtMost  = 12
)

// onGrid finds the best point near an answer with every free number on its grid;
// nil where none keeps the conditions.
func (p *problem) onGrid(q *point) *point {
	n := len(p.space.free)
	steps := make([]float64, n)
	cell := make([]float64, n) // lower corner, in steps
	for k, i := range p.space.free {
		steps[k] = p.numbers[i].step
		if steps[k] == 0 {
			steps[k] = p.numbers[i].per / decimals
		}
		cell[k] = math.Floor(q.y[k]/steps[k] + 1e-9)
	}
	var around [][]float64
	if n <= cornersAtMost {
		for bits := range 1 << n {
			c := slices.Clone(cell)
			for k := range c {
				c[k] += float64(bits >> k & 1)
			}
			around = append(around, c)
		}
	} else {
		c := make([]float64, n)
		for k := range c {
			c[k] = math.Round(q.y[k] / steps[k])
		}
		around = append([][]float64{c}, neighbours(c)...)
	}
	g := &gridSearch{p: p, from: q, steps: steps}
	for range roundsAtMost {
		if p.stop() {
			break
		}
		better := g.lookAt(around)
		on := g.best
		if on == nil {
			on = g.nearest // go on from what lacks least
		} else if !better {
			break
		}
		if on == nil {
			break
		}
		around = neighbours(on.cell)
		if from := p.evaluate(on.point.y, true); from != nil {
			g.from = from
			around = append(around, g.jumps(on.cell)...)
		}
	}
	if g.best == nil {
		return nil
	}
	return g.best.point
}

// neighbours are the grid points one or two steps away: each number by a step,
// and each pair.
func neighbours(cell []float64) [][]float64 {
	var list [][]float64
	move := func(k int, by float64, c []float64) []float64 {
		c = slices.Clone(c)
		c[k] += by
		return c
	}
	for k := range cell {
		for _, by := range [...]float64{-1, 1} {
			one := move(k, by, cell)
			list = append(list, one)
			for j := range k {
				list = append(list, move(j, -1, one), move(j, 1, one))
			}
		}
	}
	return list
}

// jumps are the grid points at which one number alone is best, by the slopes
// there.
func (g *gridSearch) jumps(cell []float64) [][]float64 {
	var list [][]float64
	for k := range cell {
		down, bend := 0.0, 0.0
		for i, rest := range g.from.rest {
			slope := g.from.slopes[i][k]
			down -= slope * rest
			bend += slope * slope
		}
		if steps := math.Round(down / bend / g.steps[k]); math.Abs(steps) > 1 && finite(steps) {
			c := slices.Clone(cell)
			c[k] += steps
			list = append(list, c)
		}
	}
	return list
}

type gridPoint struct {
	cell  []float64
	point *point
}

type gridSearch struct {
	p             *problem
	from          *point
	steps         []float64
	seen          [][]float64
	best, nearest *gridPoint
}

// lookAt looks at the most promising of some grid points and tells whether one is
// better than the best so far.
func (g *gridSearch) lookAt(cells [][]float64) bool {
	type guess struct {
		cell []float64
		cost float64
	}
	var guesses []guess
	for _, c := range cells {
		if g.p.stop() {
			return false
		}
		if !slices.ContainsFunc(g.seen, func(s []float64) bool { return slices.Equal(s, c) }) {
			guesses = append(guesses, guess{c, g.guess(c)})
		}
	}
	slices.SortStableFunc(guesses, func(a, b guess) int {
		switch {
		case a.cost < b.cost:
			return -1
		case a.cost > b.cost:
			return 1
		}
		return 0
	})
	better := false
	for _, at := range guesses[:min(len(guesses), looksPerRound)] {
		if g.p.stop() {
			break
		}
		g.seen = append(g.seen, at.cell)
		q := g.p.evaluate(g.y(at.cell), false)
		if q == nil {
			continue
		}
		found := &gridPoint{at.cell, q}
		if g.nearest == nil || q.over < g.nearest.point.over {
			g.nearest = found
		}
		if q.keeps() && (g.best == nil || q.cost < g.best.point.cost) {
			g.best, better = found, true
		}
	}
	return better
}

func (g *gridSearch) y(cell []float64) []float64 {
	y := make([]float64, len(cell))
	for k := range cell {
		y[k] = cell[k] * g.steps[k]
	}
	return y
}

// lackWeight makes a guess that breaks a condition worse than one that does not:
// a tenth of a millimetre as much as ten tolerances.
const lackWeight = 500.0

// guess is the cost of a grid point by the slopes at the best so far.
func (g *gridSearch) guess(cell []float64) float64 {
	y := g.y(cell)
	for k := range y {
		y[k] -= g.from.y[k]
	}
	cost := 0.0
	for i, rest := range g.from.rest {
		r := rest + dot(g.from.slopes[i], y)
		cost += r * r / 2
	}
	for i := range g.from.rows {
		r := &g.from.rows[i]
		cost += lackWeight * max(0, -(r.value+dot(r.slope, y))-feasible)
	}
	return cost
}
