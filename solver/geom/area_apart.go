package geom

import "slices"

const (
	// touching is the distance within which rings touch, mm: rounding of areas
	// on their grid, with a margin.
	touching = 2e-4
	// pull is how far they are then taken apart, mm: more than touching, and a
	// hundredth of a thin sheet at most.
	pull = 5e-4
)

// apart draws the holes of an area in where they touch its outline, one
// another or themselves, so that no two corners are in one place: paper that
// holds together in a point has a bridge there half a micrometre wide. Ears are
// certain only without such points.
func apart(p Area) Area {
	rings := append([][]Vec2{p.Outer}, p.Holes...)
	out := Area{Outer: p.Outer, Holes: make([][]Vec2, len(p.Holes))}
	for h, hole := range p.Holes {
		hole = withCorners(hole, p.Outer)
		moved := slices.Clone(hole)
		n := len(hole)
		for k, q := range hole {
			if touchesOthers(q, rings, h+1) || touchesOwn(hole, k) {
				in := hole[k].Sub(hole[(k+n-1)%n]).Unit().Perp().Add(hole[(k+1)%n].Sub(hole[k]).Unit().Perp())
				moved[k] = q.Sub(in.Unit().Mul(pull)) // the paper is on the left
			}
		}
		out.Holes[h] = moved
	}
	return out
}

// withCorners adds the corners of another ring that lie on the sides of a hole
// to it.
func withCorners(hole, other []Vec2) []Vec2 {
	var out []Vec2
	for k, a := range hole {
		b := hole[(k+1)%len(hole)]
		out = append(out, a)
		for _, q := range other {
			if q.Sub(a).Norm() > 2*touching && q.Sub(b).Norm() > 2*touching && PointSegmentDistance(q, a, b) <= touching {
				out = append(out, q)
				break // a second one on one side is pulled clear with it
			}
		}
	}
	return out
}

func touchesOthers(q Vec2, rings [][]Vec2, except int) bool {
	for i, ring := range rings {
		if i != except && PolygonDistance(ring, q) <= touching {
			return true
		}
	}
	return false
}

func touchesOwn(ring []Vec2, k int) bool {
	n := len(ring)
	for i, a := range ring {
		if i == k || (i+1)%n == k {
			continue
		}
		if PointSegmentDistance(ring[k], a, ring[(i+1)%n]) <= touching {
			return true
		}
	}
	return false
}
