package geom

import (
	"cmp"
	"math"
	"slices"
)

// straight is the sine of a turn the wrong way, of rounding only, at which a
// corner still counts as convex.
const straight = 1e-12

// ConvexParts divides what rings enclose, outlines anticlockwise and holes
// clockwise, into convex polygons, anticlockwise and without corners in a line:
// triangles, joined across the longest sides first where both ends stay convex
// (Hertel and Mehlhorn 1983, from memory: at most four times the fewest parts).
func ConvexParts(rings [][]Vec2) [][]Vec2 {
	var out [][]Vec2
	for _, area := range Areas(rings) {
		out = append(out, joinConvex(area.Triangles())...)
	}
	return out
}

// seam is a side two triangles share, as each has it.
type seam struct {
	a, b   Vec2
	parts  [2]int
	length float64
}

func joinConvex(triangles [][3]Vec2) [][]Vec2 {
	parts := make([][]Vec2, len(triangles))
	for i, t := range triangles {
		parts[i] = []Vec2{t[0], t[1], t[2]}
	}
	seams := seamsOf(triangles)
	slices.SortStableFunc(seams, func(s, t seam) int { return cmp.Compare(t.length, s.length) })
	joined := make([]int, len(parts)) // the part each went into
	for i := range joined {
		joined[i] = i
	}
	find := func(i int) int {
		for joined[i] != i {
			i = joined[i]
		}
		return i
	}
	for _, s := range seams {
		i, j := find(s.parts[0]), find(s.parts[1])
		if i == j {
			continue
		}
		if whole, ok := joinedAt(parts[i], parts[j], s.a, s.b); ok {
			parts[i], parts[j], joined[j] = whole, nil, i
		}
	}
	var out [][]Vec2
	for _, p := range parts {
		if p = withoutStraight(p); len(p) > 2 {
			out = append(out, p)
		}
	}
	return out
}

func seamsOf(triangles [][3]Vec2) []seam {
	var seams []seam
	open := map[[2]Vec2]int{}
	for i, t := range triangles {
		for k := range 3 {
			a, b := t[k], t[(k+1)%3]
			if j, ok := open[[2]Vec2{b, a}]; ok {
				seams = append(seams, seam{a, b, [2]int{i, j}, b.Sub(a).Norm()})
				delete(open, [2]Vec2{b, a})
			} else {
				open[[2]Vec2{a, b}] = i
			}
		}
	}
	return seams
}

// joinedAt is p and q as one where they have the side from a to b, in p's
// direction, in common; not ok when that has a corner that is not convex.
func joinedAt(p, q []Vec2, a, b Vec2) ([]Vec2, bool) {
	u, v := sideFrom(p, a, b), sideFrom(q, b, a)
	if u < 0 || v < 0 {
		return nil, false
	}
	n, m := len(p), len(q)
	if !isConvex(p[(u+n-1)%n], a, q[(v+2)%m]) || !isConvex(q[(v+m-1)%m], b, p[(u+2)%n]) {
		return nil, false
	}
	whole := make([]Vec2, 0, n+m-2)
	for k := range n {
		whole = append(whole, p[(u+1+k)%n])
	}
	for k := 2; k < m; k++ {
		whole = append(whole, q[(v+k)%m])
	}
	return whole, true
}

func sideFrom(p []Vec2, a, b Vec2) int {
	for i, c := range p {
		if c == a && p[(i+1)%len(p)] == b {
			return i
		}
	}
	return -1
}

func isConvex(a, b, c Vec2) bool {
	d, e := b.Sub(a), c.Sub(b)
	return d.Cross(e) >= -straight*d.Norm()*e.Norm()
}

func withoutStraight(p []Vec2) []Vec2 {
	var out []Vec2
	for k, c := range p {
		d, e := c.Sub(p[(k+len(p)-1)%len(p)]), p[(k+1)%len(p)].Sub(c)
		if math.Abs(d.Cross(e)) > straight*d.Norm()*e.Norm() {
			out = append(out, c)
		}
	}
	return out
}
