package geom

import "math"

// PolygonArea is the signed area of a closed polygon whose first point is not
// repeated, positive when anticlockwise.
func PolygonArea(points []Vec2) float64 {
	if len(points) < 3 {
		return 0
	}
	o, sum := points[0], 0.0
	for i := 1; i+1 < len(points); i++ {
		sum += points[i].Sub(o).Cross(points[i+1].Sub(o))
	}
	return sum / 2
}

// PolygonContains tells whether p is inside a closed polygon by the even-odd
// rule. A point on the edge may fall on either side; use PolygonDistance where
// that matters.
func PolygonContains(points []Vec2, p Vec2) bool {
	in := false
	for i, a := range points {
		b := points[(i+1)%len(points)]
		if (a.Y > p.Y) == (b.Y > p.Y) {
			continue
		}
		// The crossing lies right of p when p is left of the upward edge.
		if (b.Sub(a).Cross(p.Sub(a)) > 0) == (b.Y > a.Y) {
			in = !in
		}
	}
	return in
}

// RingsContain is PolygonContains for a polygon with holes, by the even-odd
// rule over all rings.
func RingsContain(rings [][]Vec2, p Vec2) bool {
	in := false
	for _, r := range rings {
		in = in != PolygonContains(r, p)
	}
	return in
}

// PointSegmentDistance is the distance from p to the segment ab.
func PointSegmentDistance(p, a, b Vec2) float64 {
	return p.Sub(a.Lerp(b, segmentParameter(p, a, b))).Norm()
}

// segmentParameter is the place on ab nearest to p, 0 at a and 1 at b.
func segmentParameter(p, a, b Vec2) float64 {
	d := b.Sub(a)
	n := d.Dot(d)
	if n == 0 {
		return 0
	}
	return min(1, max(0, p.Sub(a).Dot(d)/n))
}

// PolygonDistance is the distance from p to the nearest edge of a closed
// polygon, +Inf when there is none.
func PolygonDistance(points []Vec2, p Vec2) float64 {
	best := math.Inf(1)
	for i, a := range points {
		best = min(best, PointSegmentDistance(p, a, points[(i+1)%len(points)]))
	}
	return best
}

// SegmentDistance is the distance between the segments ab and cd, zero when
// they cross.
func SegmentDistance(a, b, c, d Vec2) float64 {
	ab, cd := b.Sub(a), d.Sub(c)
	if ab.Cross(c.Sub(a))*ab.Cross(d.Sub(a)) < 0 && cd.Cross(a.Sub(c))*cd.Cross(b.Sub(c)) < 0 {
		return 0
	}
	return min(
		PointSegmentDistance(a, c, d), PointSegmentDistance(b, c, d),
		PointSegmentDistance(c, a, b), PointSegmentDistance(d, a, b),
	)
}

// RingDistance is the distance between two rings, zero when one crosses or holds
// the other's first corner.
func RingDistance(a, b []Vec2) float64 {
	best := math.Inf(1)
	boxes := make([]Box2, len(b))
	for j, q := range b {
		boxes[j] = EmptyBox().Extend(q).Extend(b[(j+1)%len(b)])
	}
	for i, p := range a {
		r := a[(i+1)%len(a)]
		box := EmptyBox().Extend(p).Extend(r)
		for j, q := range b {
			if box.Gap(boxes[j]) < best {
				best = min(best, SegmentDistance(p, r, q, b[(j+1)%len(b)]))
			}
		}
		if best == 0 {
			return 0
		}
	}
	return best
}
