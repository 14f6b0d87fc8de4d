package geom

import "math"

// MinFlatTolerance is the finest chord error Flatten works to, mm. Below a
// nanometre rounding of coordinates of metre size takes over; a smaller or
// invalid tolerance is raised to it.
const MinFlatTolerance = 1e-6

// Flatten replaces the curves by chords. No point of a curve is further from
// its chord than tol, and every vertex is on the curve. Closed contours do not
// repeat their first point.
//
// The bounds, with h the step in t:
//
//   - Béziers: linear interpolation of f errs by at most h²/8·max|f″| (any
//     numerical analysis text), and |f″| of a Bézier is at most the largest
//     second difference of its control points times n(n-1).
//   - Arcs: an ellipse is the image of a unit circle under a map that
//     stretches by at most r = max(rx, ry). The chord of a circle that
//     subtends d is off by the sagitta 1 - cos(d/2), so r·(1 - cos(d/2)) ≤ tol.
//
// Steps are equal in t, so a path and its reverse give the same points up to
// rounding.
func (p Path) Flatten(tol float64) [][]Vec2 {
	out := make([][]Vec2, 0, len(p))
	for i := range p {
		c := &p[i]
		points := []Vec2{c.Start}
		c.each(func(_ int, k *curve) {
			n := k.steps(tol)
			for j := 1; j < n; j++ {
				points = append(points, k.on(float64(j)/float64(n)))
			}
			points = append(points, k.p1)
		})
		if n := len(points); c.Closed && n > 1 && points[n-1] == points[0] {
			points = points[:n-1]
		}
		out = append(out, points)
	}
	return out
}

// FlatCount is the number of chords Flatten(tol) would make, without making
// them. Use it to refuse paths that are too costly.
func (p Path) FlatCount(tol float64) int {
	n := 0
	for i := range p {
		p[i].each(func(_ int, k *curve) { n += k.steps(tol) })
	}
	return n
}

// steps is the number of equal steps in t that keeps the chord error within
// tol.
func (k *curve) steps(tol float64) int {
	if !(tol > MinFlatTolerance) {
		tol = MinFlatTolerance
	}
	switch k.kind {
	case Quad:
		return bezierSteps(2*secondDifference(k.p0, k.c1, k.p1), tol)
	case Cubic:
		return bezierSteps(6*max(secondDifference(k.p0, k.c1, k.c2), secondDifference(k.c1, k.c2, k.p1)), tol)
	case Arc:
		r := max(k.rx, k.ry)
		step := math.Pi / 2 // never coarser than a square, which keeps tiny circles round
		if tol < r {
			// 1 - cos(d/2) = 2 sin²(d/4): no cancellation for fine steps.
			step = min(step, 4*math.Asin(math.Sqrt(tol/(2*r))))
		}
		return max(1, int(math.Ceil(math.Abs(k.delta)/step)))
	}
	return 1
}

func secondDifference(a, b, c Vec2) float64 { return a.Sub(b).Add(c.Sub(b)).Norm() }

func bezierSteps(bend, tol float64) int {
	return max(1, int(math.Ceil(math.Sqrt(bend/(8*tol)))))
}
