package geom

import "math"

// Length is the length of all contours, implied closing lines included. Lines
// and circular arcs are exact; Béziers and elliptical arcs are integrated to
// nine digits or better.
func (p Path) Length() float64 {
	sum := 0.0
	for i := range p {
		p[i].each(func(_ int, k *curve) { sum += k.length() })
	}
	return sum
}

func (k *curve) length() float64 {
	switch {
	case k.kind == Line:
		return k.p1.Sub(k.p0).Norm()
	case k.circular():
		return k.rx * math.Abs(k.delta)
	}
	_, hull := k.hullLength(0, 1)
	tol := lengthPrecision * (hull + k.magnitude())
	sum, from := 0.0, 0.0
	for _, to := range k.turns() {
		if to > from && to <= 1 {
			chord, hull := k.hullLength(from, to)
			sum += k.lengthBetween(from, to, chord, hull, tol, lengthDepth)
			from = to
		}
	}
	return sum
}

// turns are the parameters, in order, at which a Bézier turns back along its
// chord, and the end. A nearly straight curve that overshoots its end has a
// kink in its speed there that a quadrature rule may not see.
func (k *curve) turns() [3]float64 {
	u := k.p1.Sub(k.p0)
	switch k.kind {
	case Quad:
		a, b := k.c1.Sub(k.p0).Dot(u), k.p1.Sub(k.c1).Dot(u)
		return [3]float64{a / (a - b), 1}
	case Cubic:
		a, b, c := k.c1.Sub(k.p0).Dot(u), k.c2.Sub(k.c1).Dot(u), k.p1.Sub(k.c2).Dot(u)
		roots := quadraticRoots(a-2*b+c, b-a, a)
		return [3]float64{min(roots[0], roots[1]), max(roots[0], roots[1]), 1}
	default:
		return [3]float64{1}
	}
}

const (
	// lengthPrecision is the error, as a part of the largest numbers of the
	// curve, at which a piece counts as settled: two thousand rounding units,
	// so that rounding alone never keeps the halving going.
	lengthPrecision = 5e-13
	// nearlyStraight is how far the hull of a piece may exceed its chord
	// before the Gauss rule is believed. One part in a hundred means a turn
	// of at most about 0.28 rad, so no cusp can hide between the nodes.
	nearlyStraight = 0.01
	// lengthDepth stops the halving at a true cusp, where the piece left over
	// is a millionth of a millionth of the whole or less.
	lengthDepth = 40
)

// lengthBetween halves the piece a..b until it is nearly straight and the
// eight-point rule agrees with itself on the halves. The length always lies
// between chord and hull, so a piece whose two agree is settled at once.
func (k *curve) lengthBetween(a, b, chord, hull, tol float64, depth int) float64 {
	if !(hull-chord > tol) || depth == 0 {
		return (chord + hull) / 2
	}
	m := (a + b) / 2
	if hull-chord <= nearlyStraight*chord {
		halves := k.speedIntegral(a, m) + k.speedIntegral(m, b)
		if math.Abs(halves-k.speedIntegral(a, b)) <= tol {
			return halves
		}
	}
	c1, h1 := k.hullLength(a, m)
	c2, h2 := k.hullLength(m, b)
	return k.lengthBetween(a, m, c1, h1, tol, depth-1) + k.lengthBetween(m, b, c2, h2, tol, depth-1)
}

// magnitude is the size of the numbers the curve is computed from.
func (k *curve) magnitude() float64 {
	m := 0.0
	for _, v := range [...]Vec2{k.p0, k.c1, k.c2, k.p1, k.center, {k.rx, k.ry}} {
		m = max(m, math.Abs(v.X), math.Abs(v.Y))
	}
	return m
}

// hullLength bounds the length of the piece a..b from below by its chord and
// from above by its control polygon, or for an arc by the tangents at its
// ends, within which the convex arc lies.
func (k *curve) hullLength(a, b float64) (chord, hull float64) {
	p, q := k.on(a), k.on(b)
	chord = q.Sub(p).Norm()
	switch k.kind {
	case Quad:
		c := k.blossom2(a, b)
		return chord, c.Sub(p).Norm() + q.Sub(c).Norm()
	case Cubic:
		c, d := k.blossom3(a, a, b), k.blossom3(a, b, b)
		return chord, c.Sub(p).Norm() + d.Sub(c).Norm() + q.Sub(d).Norm()
	}
	turn := k.delta * (b - a)
	if math.Abs(turn) > math.Pi/2 {
		return chord, math.Abs(turn) * max(k.rx, k.ry)
	}
	// On the unit circle the tangents have length tan(turn/2).
	f := math.Tan(turn/2) / k.delta
	return chord, k.slope(a).Mul(f).Norm() + k.slope(b).Mul(f).Norm()
}

// gauss8 holds the positive nodes and the weights of the eight-point
// Gauss-Legendre rule. Source: Abramowitz and Stegun, table 25.4.
var gauss8 = [4][2]float64{
	{0.183434642495649805, 0.362683783378361983},
	{0.525532409916328986, 0.313706645877887287},
	{0.796666477413626740, 0.222381034453374471},
	{0.960289856497536232, 0.101228536290376259},
}

func (k *curve) speedIntegral(a, b float64) float64 {
	m, h := (a+b)/2, (b-a)/2
	sum := 0.0
	for _, g := range gauss8 {
		sum += g[1] * (k.slope(m-h*g[0]).Norm() + k.slope(m+h*g[0]).Norm())
	}
	return sum * h
}

// Area is the signed area, positive for anticlockwise contours; holes that run
// clockwise count against it. Open contours count as if closed by a straight
// line. Exact for every kind of segment, by Green's theorem: ½∮(x dy - y dx).
func (p Path) Area() float64 {
	sum := 0.0
	for i := range p {
		sum += p[i].Area()
	}
	return sum
}

// Area is the signed area of one contour.
func (c *Contour) Area() float64 {
	// Taken from the start, so that a contour far from the origin loses no
	// digits; the closing line then adds nothing.
	o, sum := c.Start, 0.0
	c.each(func(_ int, k *curve) {
		a, b := k.p0.Sub(o), k.p1.Sub(o)
		switch k.kind {
		case Line:
			sum += a.Cross(b) / 2
		case Quad:
			// ∫ of the products of Bernstein polynomials, degree 2.
			c := k.c1.Sub(o)
			sum += (2*a.Cross(c) + a.Cross(b) + 2*c.Cross(b)) / 6
		case Cubic:
			c, d := k.c1.Sub(o), k.c2.Sub(o)
			sum += (6*a.Cross(c) + 3*a.Cross(d) + a.Cross(b) + 3*c.Cross(d) + 3*c.Cross(b) + 6*d.Cross(b)) / 20
		case Arc:
			// r = m + e(θ): ½∫r×dr = ½ m×(b - a) + ½ rx·ry·Δθ.
			sum += (k.center.Sub(o).Cross(b.Sub(a)) + k.rx*k.ry*k.delta) / 2
		}
	})
	return sum
}

// Bounds is the smallest upright box around the path, from the true extrema of
// its curves. An empty path has an empty box.
func (p Path) Bounds() Box2 {
	box := EmptyBox()
	for i := range p {
		box = box.Extend(p[i].Start)
		p[i].each(func(_ int, k *curve) { box = k.extend(box) })
	}
	return box
}

func (k *curve) extend(box Box2) Box2 {
	box = box.Extend(k.p1)
	switch k.kind {
	case Quad:
		d := k.p0.Sub(k.c1).Add(k.p1.Sub(k.c1))
		n := k.p0.Sub(k.c1)
		box = k.extendAt(box, n.X/d.X)
		box = k.extendAt(box, n.Y/d.Y)
	case Cubic:
		a, b, c := k.c1.Sub(k.p0), k.c2.Sub(k.c1), k.p1.Sub(k.c2)
		for _, t := range quadraticRoots(a.X-2*b.X+c.X, b.X-a.X, a.X) {
			box = k.extendAt(box, t)
		}
		for _, t := range quadraticRoots(a.Y-2*b.Y+c.Y, b.Y-a.Y, a.Y) {
			box = k.extendAt(box, t)
		}
	case Arc:
		sin, cos := k.phi.Sincos()
		// dx/dθ = 0 and dy/dθ = 0 of the turned ellipse, each twice a turn.
		for _, at := range [2]float64{math.Atan2(-k.ry*sin, k.rx*cos), math.Atan2(k.ry*cos, k.rx*sin)} {
			first := math.Mod((at-k.theta)/k.delta, math.Pi/math.Abs(k.delta))
			for t := first; t < 1; t += math.Pi / math.Abs(k.delta) {
				box = k.extendAt(box, t)
			}
		}
	}
	return box
}

// extendAt takes in the point at t when t is inside the curve; anything else,
// not-a-number included, changes nothing.
func (k *curve) extendAt(box Box2, t float64) Box2 {
	if t > 0 && t < 1 {
		return box.Extend(k.on(t))
	}
	return box
}

// quadraticRoots solves a t² + 2 b t + c = 0 without cancellation. Roots that
// do not exist come out as not-a-number or infinite.
func quadraticRoots(a, b, c float64) [2]float64 {
	q := -(b + math.Copysign(math.Sqrt(b*b-a*c), b))
	return [2]float64{q / a, c / q}
}
