package model

import (
	"slices"

	"foldwright/solver/geom"
)

const (
	// touching is the distance within which rings touch, mm: rounding of areas
	// on their grid, with a margin.
	touching = 2e-4
	// pull is how far they are then taken apart, mm: more than touching, and a
	// hundredth of a thin sheet at most.
	pull = 5e-4
)

// apart draws the holes of a polygon in where they touch its outline, one
// another or themselves, so that no two corners are in one place: paper that
// holds together in a point has a bridge there half a micrometre wide. Ears are
// certain only without such points.
func apart(p polygon) polygon {
	rings := append([][]geom.Vec2{p.outer}, p.holes...)
	out := polygon{outer: p.outer, holes: make([][]geom.Vec2, len(p.holes))}
	for h, hole := range p.holes {
		hole = withCorners(hole, p.outer)
		moved := slices.Clone(hole)
		n := len(hole)
		for k, q := range hole {
			if touchesOthers(q, rings, h+1) || touchesOwn(hole, k) {
				in := hole[k].Sub(hole[(k+n-1)%n]).Unit().Perp().Add(hole[(k+1)%n].Sub(hole[k]).Unit().Perp())
				moved[k] = q.Sub(in.Unit().Mul(pull)) // the paper is on the left
			}
		}
		out.holes[h] = moved
	}
	return out
}

// withCorners adds the corners of another ring that lie on the sides of a hole
// to it.
func withCorners(hole, other []geom.Vec2) []geom.Vec2 {
	var out []geom.Vec2
	for k, a := range hole {
		b := hole[(k+1)%len(hole)]
		out = append(out, a)
		for _, q := range other {
			if q.Sub(a).Norm() > 2*touching && q.Sub(b).Norm() > 2*touching && geom.PointSegmentDistance(q, a, b) <= touching {
				out = append(out, q)
				break // a second one on one side is pulled clear with it
			}
		}
	}
	return out
}

func touchesOthers(q geom.Vec2, rings [][]geom.Vec2, except int) bool {
	for i, ring := range rings {
		if i != except && geom.PolygonDistance(ring, q) <= touching {
			return true
		}
	}
	return false
}

func touchesOwn(ring []geom.Vec2, k int) bool {
	n := len(ring)
	for i, a := range ring {
		if i == k || (i+1)%n == k {
			continue
		}
		if geom.PointSegmentDistance(ring[k], a, ring[(i+1)%n]) <= touching {
			return true
		}
	}
	return false
}
