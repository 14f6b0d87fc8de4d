package fit

import (
	"math"
	"slices"
)

// equation is a condition that is linear in the numbers: Σ coef·p = sum.
type equation struct {
	coef      []float64 // by number
	sum       float64
	condition string
}

// space is what the equations leave free: p = base + spread·y, each free number
// being one y.
type space struct {
	free   []int // numbers that are free
	base   []float64
	spread [][]float64 // by number, then by free number
	// broken are conditions whose equations contradict those before them.
	broken []string
}

// leastCoefficient is what counts as zero among sums of coefficients of size 1.
const leastCoefficient = 1e-9

// newSpace solves the equations for numbers that follow, of each equation the one
// that ranks highest, by Gauss-Jordan elimination.
func newSpace(numbers int, equations []equation, rank func(i int) int) *space {
	s := &space{base: make([]float64, numbers), spread: make([][]float64, numbers)}
	follows := make([]int, numbers) // row that gives it, plus 1
	var rows []equation
	for _, e := range equations {
		row := equation{append([]float64{}, e.coef...), e.sum, e.condition}
		for i, at := range follows {
			if at > 0 {
				row.subtract(row.coef[i], &rows[at-1])
			}
		}
		pivot := -1
		for i, c := range row.coef {
			if math.Abs(c) > leastCoefficient && (pivot < 0 || rank(i) > rank(pivot)) {
				pivot = i
			}
		}
		if pivot < 0 {
			if math.Abs(row.sum) > leastCoefficient && !slices.Contains(s.broken, e.condition) {
				s.broken = append(s.broken, e.condition)
			}
			continue
		}
		row.subtract(1-1/row.coef[pivot], &row)
		for k := range rows {
			rows[k].subtract(rows[k].coef[pivot], &row)
		}
		rows = append(rows, row)
		follows[pivot] = len(rows)
	}
	for i, at := range follows {
		if at == 0 {
			s.free = append(s.free, i)
		}
	}
	for i, at := range follows {
		s.spread[i] = make([]float64, len(s.free))
		for k, f := range s.free {
			switch {
			case at > 0:
				s.spread[i][k] = -rows[at-1].coef[f]
			case f == i:
				s.spread[i][k] = 1
			}
		}
		if at > 0 {
			s.base[i] = rows[at-1].sum
		}
	}
	return s
}

func (e *equation) subtract(times float64, other *equation) {
	sum := other.sum
	for i, c := range other.coef {
		e.coef[i] -= times * c
	}
	e.sum -= times * sum
}

// numbers is p at y.
func (s *space) numbers(dst, y []float64) {
	for i := range dst {
		dst[i] = s.base[i]
		for k, c := range s.spread[i] {
			dst[i] += c * y[k]
		}
	}
}
