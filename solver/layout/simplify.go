package layout

import (
	"math"

	"foldwright/solver/geom"
)

// simplify gives a ring with fewer corners that holds all of the old one and
// reaches no more than slack beyond it. The material is on the left of the
// edges, so a hole shrinks. Two steps do that: a reflex corner is cut off by
// the chord of its neighbours, and an edge between convex corners is replaced
// by the point where its neighbours meet. The cheapest is taken each time; every
// edge carries the error it has gathered.
func simplify(ring []geom.Vec2, slack float64) []geom.Vec2 {
	r := append([]geom.Vec2(nil), ring...)
	gathered := make([]float64, len(r)) // by the edge from the point
	for len(r) > 4 {
		n := len(r)
		best, least, extend, meet := -1, slack, false, geom.Vec2{}
		for i, b := range r {
			a, c, d := r[(i+n-1)%n], r[(i+1)%n], r[(i+2)%n]
			before, here, after := gathered[(i+n-1)%n], gathered[i], gathered[(i+1)%n]
			ab, bc, cd := b.Sub(a), c.Sub(b), d.Sub(c)
			if ab.Cross(bc) <= 0 {
				ac := c.Sub(a)
				if ac.Norm() < samePoint || ab.Dot(bc) < 0 {
					continue
				}
				if e := math.Abs(ac.Cross(ab))/ac.Norm() + max(before, here); e < least {
					best, least, extend = i, e, false
				}
				continue
			}
			den := ab.Cross(cd)
			if bc.Cross(cd) <= 0 || den <= 1e-9*ab.Norm()*cd.Norm() {
				continue
			}
			x := b.Add(ab.Mul(bc.Cross(cd) / den))
			if e := math.Abs(bc.Cross(x.Sub(b)))/bc.Norm() + max(before, here, after); e < least {
				best, least, extend, meet = i, e, true, x
			}
		}
		if best < 0 {
			break
		}
		// Either way the point goes, and its edge with it.
		gathered[(best+n-1)%n] = least
		if extend {
			r[(best+1)%n] = meet
			gathered[(best+1)%n] = least
		}
		r = append(r[:best], r[best+1:]...)
		gathered = append(gathered[:best], gathered[best+1:]...)
	}
	return r
}
