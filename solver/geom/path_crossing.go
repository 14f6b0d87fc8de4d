package geom

import (
	"cmp"
	"slices"
)

// RingsCross finds a place where closed rings cross themselves or each other.
// Touching is not crossing.
//
// Edges are taken from left to right, and each is held against those that have
// not ended yet, so a shape without long edges takes little more than the time
// to sort it.
func RingsCross(rings [][]Vec2) (at Vec2, cross bool) {
	type edge struct{ a, b Vec2 } // a is the left end
	var edges []edge
	for _, ring := range rings {
		for i, p := range ring {
			q := ring[(i+1)%len(ring)]
			if q.X < p.X {
				p, q = q, p
			}
			edges = append(edges, edge{p, q})
		}
	}
	slices.SortFunc(edges, func(e, f edge) int { return cmp.Compare(e.a.X, f.a.X) })
	var open []edge
	for _, e := range edges {
		open = slices.DeleteFunc(open, func(f edge) bool { return f.b.X < e.a.X })
		for _, f := range open {
			if p, ok := properCrossing(e.a, e.b, f.a, f.b); ok {
				return p, true
			}
		}
		open = append(open, e)
	}
	return Vec2{}, false
}

// properCrossing is where two segments cross between their ends.
func properCrossing(a, b, c, d Vec2) (Vec2, bool) {
	if min(a.Y, b.Y) > max(c.Y, d.Y) || min(c.Y, d.Y) > max(a.Y, b.Y) {
		return Vec2{}, false
	}
	ab, cd := b.Sub(a), d.Sub(c)
	c1, d1 := ab.Cross(c.Sub(a)), ab.Cross(d.Sub(a))
	a1, b1 := cd.Cross(a.Sub(c)), cd.Cross(b.Sub(c))
	if c1*d1 >= 0 || a1*b1 >= 0 {
		return Vec2{}, false
	}
	return a.Lerp(b, a1/(a1-b1)), true
}
