package kinematics

import "math"

const (
	// closedResidual is where the equations count as solved, as a fraction of
	// the model: a chain of 24 panels places its last corner to a hundred times
	// the rounding of a coordinate (1e-16), and Newton's step from here on is
	// noise.
	closedResidual = 1e-14
	// stuckResidual is what may be left when rounding stops the equations from
	// improving before that, as with hosts far from the origin.
	stuckResidual = 1e-12
	// endResidual is what may be left where the way is extrapolated to its end
	// with confidence, and looseResidual where it is not: what is promised of a
	// pose at the very end.
	endResidual   = 1e-12
	looseResidual = 1e-6
	// rankTolerance is the pivot, as a fraction of the largest, below which a
	// direction counts as free. Loops that repeat each other have pivots in
	// proportion to what is still missing to a closure, and a residual of
	// closedResidual divided by one that is no more than that must not move
	// what is free. Next to shut, pivots that count are in proportion to the
	// opening, 1e-3 at a tenth of a degree, and to its square in the worst of
	// the known structures.
	rankTolerance = 1e-7
	// longestStep, in radians, keeps Newton's method where the slopes are worth
	// something.
	longestStep = 0.5
	// poseIterations is more than twice what is met from the path.
	poseIterations = 16
	// dullZone is how near to an end of the way, in radians, a step from the
	// extrapolation is noise: rounding (1e-14) is magnified there by a thousand
	// and, in the worst of the known structures, by its square, to 1e-8.
	// Further off a step of up to polish, in radians, makes the pose better.
	dullZone = 1e-3
	polish   = 1e-7
	// maxDrift is how far, in radians, a pose may be from the path's guess. The
	// guess is good to far less; a larger move is a jump to another closure.
	maxDrift = 0.1
)

// converge solves the equations by Newton's method from the state in w.
func (l *linkage) converge(p *Pose, w *linkWork, iterations int) bool {
	_, ok := l.solve(p, w, iterations)
	return ok
}

// solve is converge, with the number of steps taken.
func (l *linkage) solve(p *Pose, w *linkWork, iterations int) (taken int, ok bool) {
	before := math.Inf(1)
	for taken := range iterations {
		l.place(p, w)
		now := l.residual(p, w)
		if now <= closedResidual*l.size || now <= stuckResidual*l.size && now >= before/2 {
			return taken, l.agree(p)
		}
		before = now
		l.derive(p, w)
		l.newtonStep(w)
		l.move(w, -1)
	}
	l.place(p, w)
	now := l.residual(p, w)
	return iterations, now <= stuckResidual*l.size && l.agree(p)
}

// newtonStep finds the step of least norm that takes the residual away, held to
// longestStep.
func (l *linkage) newtonStep(w *linkWork) {
	w.qr.solve(w.slopes, w.rest, w.step)
	longest := 0.0
	for _, s := range w.step {
		longest = math.Max(longest, math.Abs(s))
	}
	if longest > longestStep {
		for i := range w.step {
			w.step[i] *= longestStep / longest
		}
	}
}

// leastSquares solves A·x = b for the x of least norm among those that leave
// least over.
//
// A·P = Q·[R W; 0 0] by Householder reflections with column pivoting, R of the
// rank's size. One solution has x = R⁻¹·Qᵀb in the pivot columns and 0 in the
// others; the null space is spanned by the columns of [R⁻¹W; -1], and the part
// of the solution along it is taken out (Golub and Van Loan, 5.5.6).
type leastSquares struct {
	rows, cols int
	rank       int
	a          []float64 // by columns
	b          []float64
	sum        []float64 // of squares of what is left of each column
	order      []int
	y          []float64
	null       []float64 // by columns
	gram       []float64
	along      []float64
}

func newLeastSquares(rows, cols int) leastSquares {
	return leastSquares{
		rows: rows, cols: cols,
		a: make([]float64, rows*cols), b: make([]float64, rows),
		sum: make([]float64, cols), order: make([]int, cols), y: make([]float64, cols),
		null: make([]float64, cols*cols), gram: make([]float64, cols*cols), along: make([]float64, cols),
	}
}

// withoutNull takes the part along A's null space out of x. It reports whether
// there is a null space.
func (q *leastSquares) withoutNull(a, x []float64) bool {
	copy(q.a, a)
	if q.factor(); q.rank == q.cols {
		return false
	}
	for j, from := range q.order {
		q.y[j] = x[from]
	}
	q.shorten()
	for j, to := range q.order {
		x[to] = q.y[j]
	}
	return true
}

func dot(a, b []float64) float64 {
	s := 0.0
	for i, v := range a {
		s += v * b[i]
	}
	return s
}

func (q *leastSquares) column(j int) []float64 { return q.a[j*q.rows : (j+1)*q.rows] }

func (q *leastSquares) solve(a, b, x []float64) {
	copy(q.a, a)
	copy(q.b, b)
	q.factor()
	q.back()
	if q.rank < q.cols {
		q.shorten()
	}
	for j, to := range q.order {
		x[to] = q.y[j]
	}
}

// factor brings A to triangular form and b along with it.
func (q *leastSquares) factor() {
	for j := range q.cols {
		q.order[j] = j
	}
	largest := 0.0
	q.rank = 0
	for k := range min(q.rows, q.cols) {
		best := k
		for j := k; j < q.cols; j++ {
			// Worked out anew each time: the columns are short, and
			// subtracting what was taken off loses the digits that decide the
			// rank.
			tail := q.column(j)[k:]
			if q.sum[j] = dot(tail, tail); q.sum[j] > q.sum[best] {
				best = j
			}
		}
		pivot := math.Sqrt(q.sum[best])
		if k == 0 {
			largest = pivot
		}
		if pivot <= rankTolerance*largest {
			return
		}
		q.swap(k, best)
		q.reflect(k, pivot)
		q.rank++
	}
}

func (q *leastSquares) swap(i, j int) {
	if i == j {
		return
	}
	a, b := q.column(i), q.column(j)
	for r := range a {
		a[r], b[r] = b[r], a[r]
	}
	q.order[i], q.order[j] = q.order[j], q.order[i]
}

// reflect zeroes column k below its diagonal, which becomes ±pivot.
func (q *leastSquares) reflect(k int, pivot float64) {
	v := q.column(k)[k:]
	if v[0] > 0 {
		pivot = -pivot
	}
	v[0] -= pivot
	scale := 2 / dot(v, v)
	for j := k + 1; j < q.cols; j++ {
		addScaled(q.column(j)[k:], -scale*dot(v, q.column(j)[k:]), v)
	}
	addScaled(q.b[k:], -scale*dot(v, q.b[k:]), v)
	v[0] = pivot
}

func addScaled(dst []float64, k float64, v []float64) {
	for i := range v {
		dst[i] += k * v[i]
	}
}

// back solves R·y = b, with 0 beyond the rank.
func (q *leastSquares) back() {
	for i := range q.y {
		q.y[i] = 0
	}
	q.backSolve(q.b, q.y)
}

// backSolve solves R·y = c.
func (q *leastSquares) backSolve(c, y []float64) {
	for i := q.rank - 1; i >= 0; i-- {
		v := c[i]
		for j := i + 1; j < q.rank; j++ {
			v -= q.column(j)[i] * y[j]
		}
		y[i] = v / q.column(i)[i]
	}
}

// shorten takes the part along the null space out of y.
func (q *leastSquares) shorten() {
	free := q.cols - q.rank
	column := func(f int) []float64 { return q.null[f*q.cols : (f+1)*q.cols] }
	for f := range free {
		n := column(f)
		for i := range n {
			n[i] = 0
		}
		q.backSolve(q.column(q.rank+f), n)
		n[q.rank+f] = -1
	}
	// Cholesky's factor of NᵀN, whose eigenvalues are 1 and more.
	for i := range free {
		q.along[i] = dot(column(i), q.y)
		for j := 0; j <= i; j++ {
			v := dot(column(i), column(j))
			for k := range j {
				v -= q.gram[i*free+k] * q.gram[j*free+k]
			}
			if i == j {
				q.gram[i*free+i] = math.Sqrt(v)
			} else {
				q.gram[i*free+j] = v / q.gram[j*free+j]
			}
		}
	}
	for i := range free {
		for k := range i {
			q.along[i] -= q.gram[i*free+k] * q.along[k]
		}
		q.along[i] /= q.gram[i*free+i]
	}
	for i := free - 1; i >= 0; i-- {
		for k := i + 1; k < free; k++ {
			q.along[i] -= q.gram[k*free+i] * q.along[k]
		}
		q.along[i] /= q.gram[i*free+i]
	}
	for f := range free {
		addScaled(q.y, -q.along[f], column(f))
	}
}
