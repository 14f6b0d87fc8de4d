package stack

import (
	"cmp"
	"math"
	"slices"

	"foldwright/solver/geom"
)

// clipper clips convex polygons without allocating.
type clipper struct{ now, next []geom.Vec2 }

// clip is the part of a convex polygon inside another, anticlockwise; good until
// the next call.
func (c *clipper) clip(polygon, by []geom.Vec2) []geom.Vec2 {
	c.now = append(c.now[:0], polygon...)
	for i, p := range by {
		normal := by[(i+1)%len(by)].Sub(p).Perp()
		if holdsAll(c.now, p, normal) {
			continue
		}
		c.next = geom.AppendClipped(c.next[:0], c.now, p, normal)
		c.now, c.next = c.next, c.now
		if len(c.now) < 3 {
			return nil
		}
	}
	return c.now
}

// holdsAll tells whether all corners are on the side of a line its normal points
// to.
func holdsAll(polygon []geom.Vec2, through, normal geom.Vec2) bool {
	for _, q := range polygon {
		if q.Sub(through).Dot(normal) < 0 {
			return false
		}
	}
	return true
}

// width is the mean width of a polygon, twice its area by its perimeter.
func width(polygon []geom.Vec2) float64 {
	around := 0.0
	for i, p := range polygon {
		around += polygon[(i+1)%len(polygon)].Sub(p).Norm()
	}
	if around == 0 {
		return 0
	}
	return 2 * math.Abs(geom.PolygonArea(polygon)) / around
}

// hull is the least convex polygon around points, anticlockwise (Andrew's
// monotone chain, 1979, from memory).
func hull(points []geom.Vec2) []geom.Vec2 {
	sorted := slices.Clone(points)
	slices.SortFunc(sorted, func(a, b geom.Vec2) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) })
	half := func(points []geom.Vec2) []geom.Vec2 {
		var out []geom.Vec2
		for _, p := range points {
			for len(out) > 1 && out[len(out)-1].Sub(out[len(out)-2]).Cross(p.Sub(out[len(out)-1])) <= 0 {
				out = out[:len(out)-1]
			}
			out = append(out, p)
		}
		return out[:len(out)-1]
	}
	if len(sorted) < 3 {
		return sorted
	}
	lower := half(sorted)
	slices.Reverse(sorted)
	return append(lower, half(sorted)...)
}

// middle is the mean of the corners of a ring.
func middle(ring []geom.Vec2) geom.Vec2 {
	var sum geom.Vec2
	for _, p := range ring {
		sum = sum.Add(p)
	}
	return sum.Mul(1 / float64(len(ring)))
}

func boxOf(rings [][]geom.Vec2) geom.Box2 {
	box := geom.EmptyBox()
	for _, ring := range rings {
		for _, p := range ring {
			box = box.Extend(p)
		}
	}
	return box
}

func pathOf(rings [][]geom.Vec2) geom.Path {
	var out geom.Path
	for _, ring := range rings {
		out = append(out, geom.PolylinePath(ring, true)...)
	}
	return out
}
