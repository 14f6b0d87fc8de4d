package layout

import (
	"math"
	"slices"

	"foldwright/solver/geom"
)

// An outline is divided by cutting it open to its holes, clipping ears, and
// merging triangles back across diagonals that leave both ends convex (Hertel
// and Mehlhorn 1983, from memory: at most four times the fewest pieces).

// cleanRing drops repeated and straight-through points. The ring is turned
// anticlockwise, or clockwise for a hole.
func cleanRing(ring []geom.Vec2, hole bool) []geom.Vec2 {
	r := slices.Clone(ring)
	for {
		out := make([]geom.Vec2, 0, len(r))
		for i, p := range r {
			var before geom.Vec2
			if len(out) > 0 {
				before = out[len(out)-1]
			} else {
				before = r[len(r)-1]
			}
			after := r[(i+1)%len(r)]
			// Off the line of its neighbours by less than a micrometre, or
			// on top of one of them.
			if p.Sub(before).Norm() < samePoint || after.Sub(p).Norm() < samePoint && i+1 < len(r) {
				continue
			}
			d := after.Sub(before)
			if n := d.Norm(); n > samePoint && math.Abs(d.Cross(p.Sub(before)))/n < samePoint && p.Sub(before).Dot(after.Sub(p)) > 0 {
				continue
			}
			out = append(out, p)
		}
		if len(out) == len(r) || len(out) < 3 {
			r = out
			break
		}
		r = out
	}
	if (geom.PolygonArea(r) < 0) != hole {
		slices.Reverse(r)
	}
	return r
}

// samePoint is the distance at which points are one, mm: a tenth of a
// micrometre, well below OverlapTolerance.
const samePoint = 1e-4

// simple tells whether no two edges of the rings meet but where they follow
// each other.
func simple(rings [][]geom.Vec2) bool {
	type edge struct {
		a, b       geom.Vec2
		ring, i, n int
	}
	var edges []edge
	for k, r := range rings {
		for i, p := range r {
			edges = append(edges, edge{p, r[(i+1)%len(r)], k, i, len(r)})
		}
	}
	slices.SortFunc(edges, func(s, t edge) int {
		switch a, b := min(s.a.X, s.b.X), min(t.a.X, t.b.X); {
		case a < b:
			return -1
		case a > b:
			return 1
		}
		return 0
	})
	for i := range edges {
		s := &edges[i]
		right := max(s.a.X, s.b.X)
		for j := i + 1; j < len(edges); j++ {
			t := &edges[j]
			if min(t.a.X, t.b.X) > right {
				break
			}
			if max(s.a.Y, s.b.Y) < min(t.a.Y, t.b.Y) || max(t.a.Y, t.b.Y) < min(s.a.Y, s.b.Y) {
				continue
			}
			if s.ring == t.ring {
				if (s.i+1)%s.n == t.i || (t.i+1)%t.n == s.i {
					// Neighbours share a point; they may not fold back.
					d, e := s.b.Sub(s.a), t.b.Sub(t.a)
					if d.Dot(e) < 0 && math.Abs(d.Cross(e)) < 1e-12*d.Norm()*e.Norm() {
						return false
					}
					continue
				}
			}
			if geom.SegmentDistance(s.a, s.b, t.a, t.b) == 0 {
				return false
			}
		}
	}
	return true
}

// decompose divides the area of clean rings into convex polygons,
// anticlockwise. It gives nil when that fails.
func decompose(rings [][]geom.Vec2) [][]geom.Vec2 {
	ring := slices.Clone(rings[0])
	holes := slices.Clone(rings[1:])
	for len(holes) > 0 {
		var ok bool
		if ring, holes, ok = bridge(ring, holes); !ok {
			return nil
		}
	}
	triangles, ok := clipEars(ring)
	if !ok {
		return nil
	}
	pieces := merge(triangles)
	sum := 0.0
	for _, p := range pieces {
		sum += geom.PolygonArea(p)
	}
	want := Area(rings)
	if math.Abs(sum-want) > areaTolerance*want {
		return nil
	}
	return pieces
}

// areaTolerance is the relative difference between an outline and its pieces
// that tells a division that failed: rounding makes 1e-12, the smallest wrong
// triangle of an outline of a thousand points more than 1e-9.
const areaTolerance = 1e-9

// bridge joins the nearest hole to the ring by a cut that crosses nothing.
func bridge(ring []geom.Vec2, holes [][]geom.Vec2) ([]geom.Vec2, [][]geom.Vec2, bool) {
	type link struct {
		d       float64
		hole    int
		at, end int
	}
	var links []link
	for h, hole := range holes {
		for i, p := range ring {
			for j, q := range hole {
				links = append(links, link{q.Sub(p).Norm(), h, i, j})
			}
		}
	}
	slices.SortStableFunc(links, func(a, b link) int {
		switch {
		case a.d < b.d:
			return -1
		case a.d > b.d:
			return 1
		}
		return 0
	})
	crosses := func(r []geom.Vec2, p, q geom.Vec2) bool {
		for i, a := range r {
			b := r[(i+1)%len(r)]
			if a == p || a == q || b == p || b == q {
				continue
			}
			if geom.SegmentDistance(a, b, p, q) == 0 {
				return true
			}
		}
		return false
	}
	for _, l := range links {
		p, hole := ring[l.at], holes[l.hole]
		q := hole[l.end]
		n := len(ring)
		if !inCone(ring[(l.at+n-1)%n], p, ring[(l.at+1)%n], q) {
			continue
		}
		m := len(hole)
		if !inCone(hole[(l.end+m-1)%m], q, hole[(l.end+1)%m], p) {
			continue
		}
		hit := crosses(ring, p, q)
		for _, r := range holes {
			hit = hit || crosses(r, p, q)
		}
		if hit {
			continue
		}
		out := slices.Clone(ring[:l.at+1])
		out = append(out, hole[l.end:]...)
		out = append(out, hole[:l.end+1]...)
		out = append(out, ring[l.at:]...)
		return out, slices.Delete(holes, l.hole, l.hole+1), true
	}
	return nil, nil, false
}

// inCone tells whether q lies strictly within the interior angle at p of an
// anticlockwise boundary that comes from a and goes to b.
func inCone(a, p, b, q geom.Vec2) bool {
	in, out, d := p.Sub(a), b.Sub(p), q.Sub(p)
	if in.Cross(out) > 0 {
		return out.Cross(d) > 0 && in.Cross(d) > 0
	}
	return out.Cross(d) > 0 || in.Cross(d) > 0
}

func clipEars(ring []geom.Vec2) ([][]geom.Vec2, bool) {
	r := slices.Clone(ring)
	var out [][]geom.Vec2
	for len(r) > 3 {
		best, quality := -1, -1.0
		n := len(r)
		for i := range r {
			a, b, c := r[(i+n-1)%n], r[i], r[(i+1)%n]
			area := b.Sub(a).Cross(c.Sub(b))
			if area <= 0 {
				continue
			}
			// The least height of the triangle: fat ears first.
			q := area / max(b.Sub(a).Norm(), c.Sub(b).Norm(), a.Sub(c).Norm())
			if q <= quality {
				continue
			}
			if isEar(r, i) {
				best, quality = i, q
			}
		}
		if best < 0 {
			// Only points in line are left between ears: drop one.
			for i := range r {
				a, b, c := r[(i+n-1)%n], r[i], r[(i+1)%n]
				if math.Abs(b.Sub(a).Cross(c.Sub(b))) <= 1e-12*(1+b.Sub(a).Norm()*c.Sub(b).Norm()) {
					best = i
					break
				}
			}
			if best < 0 {
				return nil, false
			}
			r = slices.Delete(r, best, best+1)
			continue
		}
		out = append(out, []geom.Vec2{r[(best+n-1)%n], r[best], r[(best+1)%n]})
		r = slices.Delete(r, best, best+1)
	}
	if geom.PolygonArea(r) > 0 {
		out = append(out, r)
	}
	return out, true
}

// isEar tells whether no other corner lies in the triangle at i.
func isEar(r []geom.Vec2, i int) bool {
	n := len(r)
	a, b, c := r[(i+n-1)%n], r[i], r[(i+1)%n]
	for j, p := range r {
		if p == a || p == b || p == c {
			// A cut to a hole comes twice through one point. Where the other
			// pass enters the triangle it does so with a further corner or by
			// crossing its base.
			continue
		}
		before, after := r[(j+n-1)%n], r[(j+1)%n]
		if p.Sub(before).Cross(after.Sub(p)) > 0 {
			continue // convex corners are inside only if a reflex one is
		}
		if b.Sub(a).Cross(p.Sub(a)) >= 0 && c.Sub(b).Cross(p.Sub(b)) >= 0 && a.Sub(c).Cross(p.Sub(c)) >= 0 {
			return false
		}
	}
	return true
}

// merge joins pieces across shared edges while they stay convex, longest edge
// first.
func merge(pieces [][]geom.Vec2) [][]geom.Vec2 {
	for {
		bi, bj, bu, bv, length := -1, -1, 0, 0, -1.0
		for i, p := range pieces {
			for j := i + 1; j < len(pieces); j++ {
				q := pieces[j]
				for u, a := range p {
					b := p[(u+1)%len(p)]
					d := b.Sub(a).Norm()
					if d <= length {
						continue
					}
					for v, c := range q {
						if c == b && q[(v+1)%len(q)] == a && convexJoin(p, u, q, v) {
							bi, bj, bu, bv, length = i, j, u, v, d
						}
					}
				}
			}
		}
		if bi < 0 {
			return pieces
		}
		p, q := pieces[bi], pieces[bj]
		joined := make([]geom.Vec2, 0, len(p)+len(q)-2)
		for k := range p {
			joined = append(joined, p[(bu+1+k)%len(p)])
		}
		for k := 2; k < len(q); k++ {
			joined = append(joined, q[(bv+k)%len(q)])
		}
		// Corners that have become straight go.
		kept := joined[:0:0]
		for k, c := range joined {
			a, b := joined[(k+len(joined)-1)%len(joined)], joined[(k+1)%len(joined)]
			if c.Sub(a).Cross(b.Sub(c)) > 1e-12*c.Sub(a).Norm()*b.Sub(c).Norm() {
				kept = append(kept, c)
			}
		}
		pieces[bi] = kept
		pieces = slices.Delete(pieces, bj, bj+1)
	}
}

// convexJoin tells whether p and q joined across p's edge u, which is q's edge
// v reversed, are convex at both its ends.
func convexJoin(p []geom.Vec2, u int, q []geom.Vec2, v int) bool {
	n, m := len(p), len(q)
	a, b := p[u], p[(u+1)%n]
	beforeA, afterB := p[(u+n-1)%n], p[(u+2)%n]
	afterA, beforeB := q[(v+2)%m], q[(v+m-1)%m]
	turn := func(x, y, z geom.Vec2) bool {
		s, t := y.Sub(x), z.Sub(y)
		return s.Cross(t) >= -1e-12*s.Norm()*t.Norm()
	}
	return turn(beforeA, a, afterA) && turn(beforeB, b, afterB)
}
