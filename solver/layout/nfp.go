package layout

import (
	"math"
	"slices"

	"foldwright/solver/geom"
)

// The no-fit polygon of a fixed shape A and a moving shape B is the set of
// offsets d at which the inside of B + d meets the inside of A. With A and B
// divided into convex pieces a and b it is the union of the open Minkowski sums
// of a and -b; a spacing adds a disc to every sum.
//
// What is asked of it is whether an offset is inside and how far its boundary
// is. The boundary of a union is what is left of the edges of the sums when
// everything inside another sum is taken away, which needs no topology and no
// exact arithmetic. Parts that fit into each other without play leave lines and
// single points in the union: since "inside" means deeper than contact, they
// are kept.

const (
	// OverlapTolerance is the most by which parts of a layout may overlap, or
	// come closer than the spacing, mm. A cutter repeats to some hundredths.
	OverlapTolerance = 0.001
	// contact is the depth up to which the search takes parts as touching.
	contact = 0.0001
	// accepted is the depth at which the search takes a layout as free of
	// overlap. Moving a part back into its container may add as much again.
	accepted = 0.0004
	// discSides is the number of sides of the polygon around the disc of the
	// spacing: no spacing is more than 1/cos(180°/16) - 1 = 2 % too wide.
	discSides = 16
)

// halfPlane is n·p < c, n a unit vector.
type halfPlane struct{ nx, ny, c float64 }

// convexSum is one open convex polygon of the union.
type convexSum struct {
	box    geom.Box2
	points []geom.Vec2 // until the boundary is made
	sides  []halfPlane
}

// fragment is a segment of the boundary; the inside of the sum it belongs to is
// on its left.
type fragment struct {
	x, y, dx, dy float64
	inverse      float64 // 1/(dx²+dy²), 0 for a point
}

func (f *fragment) distance2(px, py float64) (d2, qx, qy float64) {
	vx, vy := px-f.x, py-f.y
	t := (vx*f.dx + vy*f.dy) * f.inverse
	if t < 0 {
		t = 0
	} else if t > 1 {
		t = 1
	}
	vx -= t * f.dx
	vy -= t * f.dy
	return vx*vx + vy*vy, vx, vy
}

// noFit is the no-fit polygon of two shapes.
type noFit struct {
	box       geom.Box2
	sums      []convexSum
	fragments []fragment
	cells     cells
	held      *int // words of all that a catalog holds; nil outside one
}

// disc is a polygon around the disc of the given radius, nil for none.
func disc(radius float64) []geom.Vec2 {
	if radius <= 0 {
		return nil
	}
	out := make([]geom.Vec2, discSides)
	r := radius / math.Cos(math.Pi/discSides)
	for i := range out {
		s, c := math.Sincos((2*float64(i) + 1) * math.Pi / discSides)
		out[i] = geom.Vec2{X: r * c, Y: r * s}
	}
	return out
}

func negate(p []geom.Vec2) []geom.Vec2 {
	out := make([]geom.Vec2, len(p))
	for i, v := range p {
		out[i] = geom.Vec2{X: -v.X, Y: -v.Y}
	}
	return out
}

// minkowski is the Minkowski sum of two convex polygons, anticlockwise.
func minkowski(p, q []geom.Vec2) []geom.Vec2 {
	lowest := func(r []geom.Vec2) int {
		k := 0
		for i, v := range r {
			if v.Y < r[k].Y || v.Y == r[k].Y && v.X < r[k].X {
				k = i
			}
		}
		return k
	}
	i0, j0 := lowest(p), lowest(q)
	at := p[i0].Add(q[j0])
	out := make([]geom.Vec2, 0, len(p)+len(q))
	for i, j := 0, 0; i < len(p) || j < len(q); {
		out = append(out, at)
		e := p[(i0+i+1)%len(p)].Sub(p[(i0+i)%len(p)])
		f := q[(j0+j+1)%len(q)].Sub(q[(j0+j)%len(q)])
		turn := e.Cross(f)
		switch {
		case j == len(q):
			at = at.Add(e)
			i++
		case i == len(p):
			at = at.Add(f)
			j++
		case math.Abs(turn) <= 1e-12*e.Norm()*f.Norm() && e.Dot(f) > 0:
			at = at.Add(e).Add(f)
			i++
			j++
		case upper(e) && !upper(f) || upper(e) == upper(f) && turn > 0:
			at = at.Add(e)
			i++
		default:
			at = at.Add(f)
			j++
		}
	}
	return out
}

// upper tells whether a direction is in the half turn from the x axis.
func upper(d geom.Vec2) bool { return d.Y > 0 || d.Y == 0 && d.X > 0 }

func newConvexSum(points []geom.Vec2) convexSum {
	s := convexSum{points: points, box: geom.EmptyBox(), sides: make([]halfPlane, 0, len(points))}
	for i, p := range points {
		s.box = s.box.Extend(p)
		d := points[(i+1)%len(points)].Sub(p)
		n := d.Norm()
		if n < 1e-12 {
			continue
		}
		nx, ny := d.Y/n, -d.X/n
		s.sides = append(s.sides, halfPlane{nx, ny, nx*p.X + ny*p.Y})
	}
	return s
}

// deep tells whether the point is inside by more than depth.
func (s *convexSum) deep(x, y, depth float64) bool {
	if x <= s.box.Min.X || x >= s.box.Max.X || y <= s.box.Min.Y || y >= s.box.Max.Y {
		return false
	}
	for i := range s.sides {
		h := &s.sides[i]
		if h.nx*x+h.ny*y > h.c-depth {
			return false
		}
	}
	return true
}

// newNoFit builds the no-fit polygon from convex pieces; around is the disc of
// the spacing or nil.
func newNoFit(fixed, moving [][]geom.Vec2, around []geom.Vec2) *noFit {
	n := &noFit{box: geom.EmptyBox(), sums: make([]convexSum, 0, len(fixed)*len(moving))}
	for _, b := range moving {
		minus := negate(b)
		if around != nil {
			minus = minkowski(minus, around)
		}
		for _, a := range fixed {
			s := newConvexSum(minkowski(a, minus))
			n.sums = append(n.sums, s)
			n.box = n.box.Union(s.box)
		}
	}
	// Large sums first: most edges lie in one of them as a whole.
	slices.SortStableFunc(n.sums, func(s, t convexSum) int { return compare(geom.PolygonArea(t.points), geom.PolygonArea(s.points)) })
	var cuts []interval
	for k := range n.sums {
		s := &n.sums[k]
		for i, p := range s.points {
			q := s.points[(i+1)%len(s.points)]
			d := q.Sub(p)
			if d.Norm() < 1e-12 {
				continue
			}
			cuts = n.covered(cuts[:0], k, p, d)
			n.keep(p, d, cuts)
		}
	}
	// A card of many parts has some ten thousand pairs: each holds only what is
	// asked of it from now on.
	n.fragments = slices.Clone(n.fragments)
	for k := range n.sums {
		n.sums[k].points = nil
	}
	return n
}

type interval struct{ from, to float64 }

// covered lists, in order and apart, the parts of p + t·d, 0 < t < 1, that lie
// deep in a sum other than k, or on an edge of an earlier sum that runs the
// same way and is therefore kept there.
func (n *noFit) covered(out []interval, k int, p, d geom.Vec2) []interval {
	box := geom.EmptyBox().Extend(p).Extend(p.Add(d))
	length := d.Norm()
	ux, uy := d.X/length, d.Y/length
	for l := range n.sums {
		s := &n.sums[l]
		if l == k || box.Max.X < s.box.Min.X || box.Min.X > s.box.Max.X || box.Max.Y < s.box.Min.Y || box.Min.Y > s.box.Max.Y {
			continue
		}
		// An edge of an earlier sum along the same line, with the inside on the
		// same side, stands for this one as far as it reaches.
		same := -1
		for i := range s.sides {
			h := &s.sides[i]
			if l < k && math.Abs(h.nx*p.X+h.ny*p.Y-h.c) < contact/100 &&
				math.Abs(h.nx*d.X+h.ny*d.Y) < contact/100 && h.nx*uy-h.ny*ux > 0 {
				same = i
			}
		}
		margin := contact
		if same >= 0 {
			margin = 0
		}
		from, to := 0.0, 1.0
		for i := range s.sides {
			if i == same {
				continue
			}
			h := &s.sides[i]
			f := h.nx*p.X + h.ny*p.Y - h.c + margin
			g := h.nx*d.X + h.ny*d.Y
			switch {
			case math.Abs(g) < 1e-12*length:
				if f > 0 {
					to = -1
				}
			case g > 0:
				to = min(to, -f/g)
			default:
				from = max(from, -f/g)
			}
			if to <= from {
				break
			}
		}
		if to > from {
			out = insertInterval(out, interval{from, to})
			if out[0].from <= 0 && out[0].to >= 1 {
				return out
			}
		}
	}
	return out
}

// insertInterval adds to an ordered list of disjoint intervals.
func insertInterval(list []interval, v interval) []interval {
	out := list[:0:0]
	placed := false
	for _, w := range list {
		switch {
		case w.to < v.from:
			out = append(out, w)
		case w.from > v.to:
			if !placed {
				out = append(out, v)
				placed = true
			}
			out = append(out, w)
		default:
			v.from, v.to = min(v.from, w.from), max(v.to, w.to)
		}
	}
	if !placed {
		out = append(out, v)
	}
	return out
}

func (n *noFit) keep(p, d geom.Vec2, cuts []interval) {
	at := 0.0
	add := func(from, to float64) {
		if to <= from {
			return
		}
		a, v := p.Add(d.Mul(from)), d.Mul(to-from)
		f := fragment{x: a.X, y: a.Y, dx: v.X, dy: v.Y}
		if l := v.Dot(v); l > 0 {
			f.inverse = 1 / l
		}
		n.fragments = append(n.fragments, f)
	}
	for _, c := range cuts {
		add(at, c.from)
		at = c.to
	}
	add(at, 1)
}

// cells is a grid over the box of a no-fit polygon. A cell lists the fragments
// that can be nearest to a point in it, and the sums that can hold one. The grid
// and its cells are made when first asked.
type cells struct {
	x, y, perX, perY float64
	nx, ny           int
	list             []*cell
}

type cell struct {
	fragments []fragment
	sums      []int32
	state     cellState
}

type cellState uint8

const (
	outside cellState = iota // no sum reaches in
	inside                   // one sum holds all of it
	mixed
)

func (c *cells) size(box geom.Box2, fragments int) {
	k := int(3 * math.Sqrt(float64(fragments)))
	k = min(48, max(8, k))
	s := box.Size()
	c.x, c.y = box.Min.X, box.Min.Y
	c.nx, c.ny = k, k
	c.perX, c.perY = float64(k)/max(s.X, 1e-9), float64(k)/max(s.Y, 1e-9)
	c.list = make([]*cell, k*k)
}

func (n *noFit) at(x, y float64) *cell {
	g := &n.cells
	if g.list == nil {
		g.size(n.box, len(n.fragments))
		n.hold(len(g.list))
	}
	i := min(g.nx-1, max(0, int((x-g.x)*g.perX)))
	j := min(g.ny-1, max(0, int((y-g.y)*g.perY)))
	c := g.list[j*g.nx+i]
	if c == nil {
		c = n.cell(i, j)
		g.list[j*g.nx+i] = c
	}
	return c
}

func (n *noFit) cell(i, j int) *cell {
	g, c := &n.cells, &cell{}
	// Points outside the box go to the border cells, and so does rounding.
	slack := 1e-6 + 1e-3/g.perX
	x0, x1 := g.x+float64(i)/g.perX-slack, g.x+float64(i+1)/g.perX+slack
	y0, y1 := g.y+float64(j)/g.perY-slack, g.y+float64(j+1)/g.perY+slack
	for k := range n.sums {
		s := &n.sums[k]
		if s.box.Max.X <= x0 || s.box.Min.X >= x1 || s.box.Max.Y <= y0 || s.box.Min.Y >= y1 {
			continue
		}
		whole, apart := true, false
		for m := range s.sides {
			h := &s.sides[m]
			// The largest and smallest of n·p over the cell.
			hx0, hx1 := h.nx*x0, h.nx*x1
			hy0, hy1 := h.ny*y0, h.ny*y1
			whole = whole && max(hx0, hx1)+max(hy0, hy1) < h.c-contact
			apart = apart || min(hx0, hx1)+min(hy0, hy1) > h.c-contact
		}
		if whole {
			c.state = inside
			c.sums = nil
			break
		}
		if !apart {
			c.state = mixed
			c.sums = append(c.sums, int32(k))
		}
	}
	mx, my := (x0+x1)/2, (y0+y1)/2
	reach := math.Hypot(x1-x0, y1-y0) / 2
	least := math.Inf(1)
	for k := range n.fragments {
		d2, _, _ := n.fragments[k].distance2(mx, my)
		least = min(least, d2)
	}
	limit := math.Sqrt(least) + 2*reach
	for k := range n.fragments {
		if d2, _, _ := n.fragments[k].distance2(mx, my); d2 <= limit*limit {
			c.fragments = append(c.fragments, n.fragments[k])
		}
	}
	n.hold(cellWords + fragmentWords*cap(c.fragments))
	return c
}

// Sizes in memory, in words of 8 bytes.
const (
	sumWords      = 11
	sideWords     = 3
	fragmentWords = 5
	cellWords     = 7
)

func (n *noFit) hold(words int) {
	if n.held != nil {
		*n.held += words
	}
}

// size is what the polygon takes before anything is asked of it.
func (n *noFit) size() int {
	words := fragmentWords * len(n.fragments)
	for i := range n.sums {
		words += sumWords + sideWords*cap(n.sums[i].sides)
	}
	return words
}

// depth is how far the offset must be moved for the shapes to come apart, and
// in which direction; 0 when they do not overlap.
func (n *noFit) depth(x, y float64) (d, ux, uy float64) {
	c := n.at(x, y)
	switch c.state {
	case outside:
		return 0, 0, 0
	case mixed:
		in := false
		for _, k := range c.sums {
			if n.sums[k].deep(x, y, contact) {
				in = true
				break
			}
		}
		if !in {
			return 0, 0, 0
		}
	}
	least, bx, by := math.Inf(1), 0.0, 0.0
	for k := range c.fragments {
		if d2, vx, vy := c.fragments[k].distance2(x, y); d2 < least {
			least, bx, by = d2, vx, vy
		}
	}
	d = math.Sqrt(least)
	if d < 1e-12 {
		return 0, 0, 0
	}
	return d, -bx / d, -by / d
}

// meets tells whether the shapes overlap at the offset.
func (n *noFit) meets(x, y float64) bool {
	if x <= n.box.Min.X || x >= n.box.Max.X || y <= n.box.Min.Y || y >= n.box.Max.Y {
		return false
	}
	c := n.at(x, y)
	switch c.state {
	case outside:
		return false
	case inside:
		return true
	}
	for _, k := range c.sums {
		if n.sums[k].deep(x, y, contact) {
			return true
		}
	}
	return false
}
