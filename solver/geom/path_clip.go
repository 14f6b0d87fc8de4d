package geom

// ClipPolygon is the part of a polygon on the side of the line through a point
// that the normal points to (Sutherland and Hodgman, Reentrant Polygon
// Clipping, Comm. ACM 17 (1974), from memory). A concave polygon cut in several
// places stays one ring, joined along the line.
func ClipPolygon(points []Vec2, through, normal Vec2) []Vec2 {
	return AppendClipped(nil, points, through, normal)
}

// AppendClipped appends what ClipPolygon gives, which must not share the memory
// of the polygon.
func AppendClipped(out, points []Vec2, through, normal Vec2) []Vec2 {
	side := func(p Vec2) float64 { return p.Sub(through).Dot(normal) }
	for i, p := range points {
		q := points[(i+1)%len(points)]
		a, b := side(p), side(q)
		if a >= 0 {
			out = append(out, p)
		}
		if a > 0 && b < 0 || a < 0 && b > 0 {
			out = append(out, p.Lerp(q, a/(a-b)))
		}
	}
	return out
}
