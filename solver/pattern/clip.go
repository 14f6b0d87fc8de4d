package pattern

import "foldwright/solver/geom"

// halfPlane is the points p with n·p ≥ c, n a unit vector.
type halfPlane struct {
	n geom.Vec2
	c float64
}

func (h *halfPlane) depth(p geom.Vec2) float64 { return h.n.Dot(p) - h.c }

// clipped is the part of a convex polygon in the half plane (Sutherland and
// Hodgman's step). Points on the border but for rounding stay.
func (h *halfPlane) clipped(polygon []geom.Vec2) []geom.Vec2 {
	out := make([]geom.Vec2, 0, len(polygon)+1)
	for i, a := range polygon {
		b := polygon[(i+1)%len(polygon)]
		da, db := h.depth(a), h.depth(b)
		if da >= -weldTolerance {
			out = append(out, a)
		}
		if (da >= -weldTolerance) != (db >= -weldTolerance) {
			out = append(out, a.Lerp(b, min(1, max(0, da/(da-db)))))
		}
	}
	return out
}

// cleaned drops points that repeat the one before.
func cleaned(polygon []geom.Vec2) []geom.Vec2 {
	out := polygon[:0:0]
	for i, p := range polygon {
		before := polygon[(i+len(polygon)-1)%len(polygon)]
		if p.Sub(before).Norm() > weldTolerance {
			out = append(out, p)
		}
	}
	return out
}
