package geom

import (
	"cmp"
	"math"
	"slices"
)

// Area is an outline anticlockwise and its holes clockwise, none of which cross.
type Area struct {
	Outer []Vec2
	Holes [][]Vec2
}

// Rings are the outline and the holes.
func (a Area) Rings() [][]Vec2 { return append([][]Vec2{a.Outer}, a.Holes...) }

// Areas sorts rings, outlines anticlockwise and holes clockwise, into areas.
// Holes are drawn in by a thousandth of a mm at most where they touch.
func Areas(rings [][]Vec2) []Area {
	var out []Area
	for _, ring := range rings {
		if PolygonArea(ring) > 0 {
			out = append(out, Area{Outer: ring})
		}
	}
	for _, ring := range rings {
		if PolygonArea(ring) >= 0 {
			continue
		}
		// The least of the outlines around it has it. A hole may touch its
		// outline, so most of its corners decide, not one.
		best, least := -1, math.Inf(1)
		for i := range out {
			inside := 0
			for k, p := range ring {
				if PolygonContains(out[i].Outer, p.Lerp(ring[(k+1)%len(ring)], 0.5)) {
					inside++
				}
			}
			if area := PolygonArea(out[i].Outer); 2*inside > len(ring) && area < least {
				best, least = i, area
			}
		}
		if best >= 0 {
			out[best].Holes = append(out[best].Holes, ring)
		}
	}
	for i := range out {
		if len(out[i].Holes) > 0 {
			out[i] = apart(out[i])
		}
	}
	return out
}

// Triangles covers an area with triangles, anticlockwise, each three points
// of its rings: holes are joined to the outline by bridges, and ears clipped
// (Meisters, Polygons have ears, 1975; Eberly, Triangulation by ear clipping,
// 2002). Corners in a line are kept, so the triangles meet the edges of the
// paper corner to corner.
func (p Area) Triangles() [][3]Vec2 {
	ring := p.Outer
	if len(p.Holes) > 0 {
		ring = bridged(p)
	}
	return clipEars(ring)
}

// bridged joins the holes to the outline, those furthest right first, so that
// the way to the right of each is free of other holes.
func bridged(p Area) []Vec2 {
	ring := slices.Clone(p.Outer)
	type hole struct {
		ring  []Vec2
		right int
	}
	holes := make([]hole, len(p.Holes))
	for i, r := range p.Holes {
		holes[i] = hole{ring: r}
		for k, q := range r {
			if q.X > r[holes[i].right].X {
				holes[i].right = k
			}
		}
	}
	slices.SortStableFunc(holes, func(a, b hole) int { return cmp.Compare(b.ring[b.right].X, a.ring[a.right].X) })
	for _, h := range holes {
		m := h.ring[h.right]
		at := bridgeEnd(ring, m)
		if at < 0 {
			continue // not inside the outline
		}
		joined := make([]Vec2, 0, len(ring)+len(h.ring)+2)
		joined = append(joined, ring[:at+1]...)
		joined = append(joined, h.ring[h.right:]...)
		joined = append(joined, h.ring[:h.right+1]...)
		joined = append(joined, ring[at:]...)
		ring = joined
	}
	return ring
}

// bridgeEnd is a corner of the ring that is seen from m, looking right.
func bridgeEnd(ring []Vec2, m Vec2) int {
	// The side first met to the right. Of its ends the one further right is
	// seen from m, unless a corner lies in the triangle between; then the one
	// of these at the least angle is.
	n := len(ring)
	at, nearest := -1, math.Inf(1)
	for i, a := range ring {
		b := ring[(i+1)%n]
		if !(a.Y <= m.Y && m.Y <= b.Y) || a.Y == b.Y { // upward sides have the paper on their left
			continue
		}
		x := a.X + (m.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X)
		if x < m.X || x >= nearest {
			continue
		}
		nearest = x
		at = i
		if b.X > a.X {
			at = (i + 1) % n
		}
		if x == m.X && a == m {
			at = i
		}
	}
	if at < 0 {
		return -1
	}
	corner, hit := ring[at], Vec2{X: nearest, Y: m.Y}
	best, slope := at, math.Inf(1)
	if corner != m {
		slope = math.Abs(corner.Y-m.Y) / (corner.X - m.X)
	}
	for i, q := range ring {
		if q.X < m.X || q == corner || q.X > corner.X {
			continue
		}
		inside := inTriangle(q, m, hit, corner) || inTriangle(q, m, corner, hit)
		if s := math.Abs(q.Y-m.Y) / (q.X - m.X); inside && s < slope && opens(ring, i, m) {
			best, slope = i, s
		}
	}
	// A corner where bridges end is there more than once; the bridge must leave
	// where the paper is.
	if !opens(ring, best, m) {
		for i, q := range ring {
			if q == ring[best] && opens(ring, i, m) {
				return i
			}
		}
	}
	return best
}

// opens tells whether m is within the angle of paper at a corner.
func opens(ring []Vec2, i int, m Vec2) bool {
	n := len(ring)
	before, at, next := ring[(i+n-1)%n], ring[i], ring[(i+1)%n]
	left, right := turning(before, at, m) >= 0, turning(at, next, m) >= 0
	if turning(before, at, next) >= 0 {
		return left && right
	}
	return left || right
}

// turning is twice the area of the triangle abc, positive when anticlockwise.
func turning(a, b, c Vec2) float64 { return b.Sub(a).Cross(c.Sub(a)) }

func inTriangle(p, a, b, c Vec2) bool {
	return turning(a, b, p) >= 0 && turning(b, c, p) >= 0 && turning(c, a, p) >= 0
}

// clipEars cuts one ear after another off a ring.
func clipEars(ring []Vec2) [][3]Vec2 {
	n := len(ring)
	next, before := make([]int, n), make([]int, n)
	for i := range ring {
		next[i], before[i] = (i+1)%n, (i+n-1)%n
	}
	out := make([][3]Vec2, 0, n-2)
	at, tried := 0, 0
	for left := n; left > 2; {
		if tried > left {
			// Rounding has left no true ear. What is left is thinner than
			// rounding, so the next convex corner may go.
			at = mostConvex(ring, next, at, left)
		} else if !isEar(ring, next, before, at) {
			at = next[at]
			tried++
			continue
		}
		b, f := before[at], next[at]
		if t := turning(ring[b], ring[at], ring[f]); t > 0 {
			out = append(out, [3]Vec2{ring[b], ring[at], ring[f]})
		}
		next[b], before[f] = f, b
		left--
		tried = 0
		at = next[f] // not the neighbour: fans make slivers
		if left == 2 {
			break
		}
	}
	return out
}

func mostConvex(ring []Vec2, next []int, at, left int) int {
	best, most := at, math.Inf(-1)
	for range left {
		mid := next[at]
		if t := turning(ring[at], ring[mid], ring[next[mid]]); t > most {
			best, most = mid, t
		}
		at = mid
	}
	return best
}

// flat is twice the area of a triangle that counts as a line, mm²: a thousand
// times the rounding of a product of coordinates of a metre would be 1e-7, of a
// page 5e-9; a corner a micrometre out of line over one mm has 1e-3.
const flat = 5e-9

// doublesBack tells whether the way from a over b to c encloses nothing: what is
// left of a pocket between rings that touch, once its ears are cut.
func doublesBack(a, b, c Vec2) bool {
	return a == b || b == c || math.Abs(turning(a, b, c)) <= flat && b.Sub(a).Dot(c.Sub(b)) < 0
}

func isEar(ring []Vec2, next, before []int, at int) bool {
	a, b, c := ring[before[at]], ring[at], ring[next[at]]
	if doublesBack(a, b, c) {
		return true
	}
	if turning(a, b, c) <= flat {
		return false
	}
	low := Vec2{X: min(a.X, b.X, c.X), Y: min(a.Y, b.Y, c.Y)}
	high := Vec2{X: max(a.X, b.X, c.X), Y: max(a.Y, b.Y, c.Y)}
	for i := next[next[at]]; i != before[at]; i = next[i] {
		p := ring[i]
		if p.X < low.X || p.X > high.X || p.Y < low.Y || p.Y > high.Y || p == a || p == b || p == c {
			continue
		}
		// Only corners that are not convex can be the first to enter.
		if turning(ring[before[i]], p, ring[next[i]]) <= flat &&
			turning(a, b, p) >= -flat && turning(b, c, p) >= -flat && turning(c, a, p) >= -flat {
			return false
		}
	}
	return true
}
