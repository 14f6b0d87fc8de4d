package geom

import "math"

// BulgeVertex is a point of a polyline of lines and circular arcs. Bulge
// belongs to the piece that leaves the point: tan(turn/4), positive
// anticlockwise, 0 for a line, as DXF has it (LWPOLYLINE, group 42).
type BulgeVertex struct {
	Point Vec2
	Bulge float64
}

// maxBulgeTurn is the largest turn of one bulge: a half circle, bulge 1.
const maxBulgeTurn = math.Pi

// BulgePolyline writes the contour as lines and circular arcs. Lines and
// circular arcs are exact; other curves become chords within tol. A closed
// contour does not repeat its first point.
func (c *Contour) BulgePolyline(tol float64) []BulgeVertex {
	out := []BulgeVertex{{Point: c.Start}}
	c.each(func(_ int, k *curve) {
		n, bulge := k.steps(tol), 0.0
		if k.circular() {
			n = max(1, int(math.Ceil(math.Abs(k.delta)/maxBulgeTurn-1e-9)))
			bulge = math.Tan(k.delta / float64(4*n))
		}
		for j := 1; j <= n; j++ {
			out[len(out)-1].Bulge = bulge
			out = append(out, BulgeVertex{Point: k.at(float64(j) / float64(n))})
		}
	})
	if last := len(out) - 1; c.Closed && last > 0 && out[last].Point == c.Start {
		out = out[:last]
	}
	return out
}
