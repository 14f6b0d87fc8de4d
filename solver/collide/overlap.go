package collide

import "foldwright/solver/geom"

// sameLine is the sine of the angle between two sides below which they count as
// parallel: their product has lost half its digits, and the planes of the faces
// are tried in any case.
const sameLine = 1e-8

// overlap is the least distance by which one of two flat convex parts, with
// corners anticlockwise about their normals, has to be moved to come clear of the
// other; no more than most, the least across their planes; 0 when they are clear.
//
// It is the distance of the origin from the outside of the set of differences of
// their points. That is a polyhedron whose faces come of a face of one and a corner
// of the other, or of a side of each: those two for which some direction is as far
// as a goes at the one and as little far as b goes at the other, and so turns
// outward over the side of a and inward over that of b (the test of Gauss arcs of
// D. Gregorius, The Separating Axis Test between Convex Polyhedra, GDC 2013, from
// memory, for flat pieces).
func overlap(a, b []geom.Vec3, normalA, normalB geom.Vec3, most float64) float64 {
	p := a[len(a)-1]
	for _, q := range a {
		d := q.Sub(p)
		outA := d.Cross(normalA)
		r := b[len(b)-1]
		for _, s := range b {
			e := s.Sub(r)
			axis := d.Cross(e)
			if axis.Dot(outA) < 0 {
				axis = axis.Neg()
			}
			if norm := axis.Norm(); axis.Dot(e.Cross(normalB)) < 0 && norm > sameLine*d.Norm()*e.Norm() {
				most = min(most, axis.Dot(p.Sub(r))/norm)
			}
			r = s
		}
		p = q
	}
	return max(most, 0)
}
