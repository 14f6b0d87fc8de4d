package fit

import (
	"math"
	"slices"
)

// passesPerColumn bounds the passes of nonNegative. Lawson and Hanson saw about
// half as many passes as there are columns, and their program gives up after
// three for each (chapter 23, from memory). In exact arithmetic no set of columns
// comes twice, as the distance falls with each pass; rounding may bring one back.
const passesPerColumn = 3

// enough is the gradient, of columns and a remainder of length 1, that is
// rounding.
const enough = 1e-13

// nonNegative finds u ≥ 0 with the least |E·u - f|, f being the last unit vector
// of n+1. left is 1 less the last component of E·u. It fails where it is stopped
// or does not settle.
func nonNegative(columns [][]float64, n int, stop func() bool) (u []float64, left float64, ok bool) {
	a := &activeSet{columns: columns, n: n, u: make([]float64, len(columns)), shut: make([]bool, len(columns))}
	a.lengths = make([]float64, len(columns))
	for j, column := range columns {
		a.lengths[j] = math.Sqrt(dot(column, column))
	}
	a.takeRest()
	for range passesPerColumn * len(columns) {
		if stop() {
			return nil, 0, false
		}
		best := a.steepest()
		if best < 0 {
			return a.u, a.rest[n], true
		}
		a.bringIn(best)
	}
	return a.u, a.rest[n], a.steepest() < 0
}

// activeSet is the columns that make up the nearest point so far.
type activeSet struct {
	columns [][]float64
	lengths []float64
	n       int
	u       []float64
	rest    []float64 // f - E·u
	in      []int     // those with u > 0
	// shut are the columns that are in, and those that proved of no use beside
	// them: they wait for the set to change.
	shut []bool
}

// steepest is the column along which the distance falls fastest; negative where
// it falls along none.
func (a *activeSet) steepest() int {
	best, most := -1, enough
	for j, column := range a.columns {
		if a.shut[j] {
			continue
		}
		if w := dot(column, a.rest) / a.lengths[j]; w > most {
			best, most = j, w
		}
	}
	return best
}

// bringIn takes a column into the set and goes to the nearest point of it. A
// column that repeats others, or that rounding alone called for, stays out:
// taken in, it would go out and come in again for ever.
func (a *activeSet) bringIn(j int) {
	a.shut[j] = true
	with := append(slices.Clip(a.in), j)
	v, full := leastSquares(a.columns, with, a.n)
	if !full || !(v[len(v)-1] > 0) {
		return
	}
	a.in = with
	for full && a.goTowards(v) {
		v, full = leastSquares(a.columns, a.in, a.n)
	}
	clear(a.shut)
	for _, j := range a.in {
		a.shut[j] = true
	}
	a.takeRest()
}

// goTowards goes as far towards v as nothing turns negative. It tells whether
// something stood in the way. That is taken out, by its place and not by what
// rounding leaves of it, so that the set is smaller each time.
func (a *activeSet) goTowards(v []float64) bool {
	part, first := 1.0, -1
	for k, j := range a.in {
		if v[k] > 0 {
			continue
		}
		if reach := a.u[j] / (a.u[j] - v[k]); first < 0 || reach < part {
			part, first = reach, k
		}
	}
	if first < 0 {
		for k, j := range a.in {
			a.u[j] = v[k]
		}
		return false
	}
	kept := a.in[:0]
	for k, j := range a.in {
		a.u[j] += part * (v[k] - a.u[j])
		if k == first || v[k] <= 0 && a.u[j] <= 0 {
			a.u[j] = 0
		} else {
			kept = append(kept, j)
		}
	}
	a.in = kept
	return len(kept) > 0
}

func (a *activeSet) takeRest() {
	a.rest = make([]float64, a.n+1)
	a.rest[a.n] = 1
	for _, j := range a.in {
		for i, e := range a.columns[j] {
			a.rest[i] -= a.u[j] * e
		}
	}
}
