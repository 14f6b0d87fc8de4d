package collide

import (
	"math"

	"foldwright/solver/geom"
)

// sameLine is the sine of the angle between two sides below which they count as
// parallel: their product has lost half its digits, and the planes of the faces
// are tried in any case.
const sameLine = 1e-8

// overlap is the least distance by which one of two flat convex parts has to be
// moved to come clear of the other, no more than most, the least across their
// planes; 0 when they are clear.
//
// It is the distance of the origin from the outside of the set of differences of
// their points. That is a polyhedron whose faces are a face of one and a corner
// of the other, or a side of each (the separating axes of two convex
// polyhedra; Gottschalk, Lin and Manocha, OBBTree, SIGGRAPH 1996, from memory).
func overlap(a, b []geom.Vec3, most float64) float64 {
	p := a[len(a)-1]
	for _, q := range a {
		d := q.Sub(p)
		p = q
		r := b[len(b)-1]
		for _, s := range b {
			e := s.Sub(r)
			r = s
			axis := d.Cross(e)
			norm := axis.Norm()
			if norm <= sameLine*d.Norm()*e.Norm() {
				continue
			}
			lowA, highA := reach(a, axis)
			lowB, highB := reach(b, axis)
			most = min(most, (highA-lowB)/norm, (highB-lowA)/norm)
			if most <= 0 {
				return 0
			}
		}
	}
	return most
}

// reach is how far points go along an axis.
func reach(points []geom.Vec3, axis geom.Vec3) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, p := range points {
		t := p.Dot(axis)
		low, high = min(low, t), max(high, t)
	}
	return low, high
}
