package model

import (
	"slices"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/paper"
)

// simpleChords is the longest outline that is looked through side by side for
// crossings; longer ones go through the overlay of areas, which is quicker for
// them.
const simpleChords = 80

// ringsOf is the shape of a panel as rings that do not cross: outlines
// anticlockwise, holes clockwise.
func ringsOf(p *kinematics.Panel, flatness float64) ([][]geom.Vec2, error) {
	if len(p.Openings) == 0 && len(p.Shape) == 1 {
		if ring := tidy(p.Shape.Flatten(flatness)[0]); len(ring) <= simpleChords && isSimple(ring) {
			if geom.PolygonArea(ring) < 0 {
				slices.Reverse(ring)
			}
			return [][]geom.Vec2{ring}, nil
		}
	}
	shape, err := geom.Union(paper.Shape(p))
	if err != nil {
		return nil, err
	}
	var out [][]geom.Vec2
	for _, ring := range shape.Flatten(flatness) {
		if ring = tidy(ring); len(ring) > 2 {
			out = append(out, ring)
		}
	}
	return out, nil
}

// tidy leaves out points that repeat the one before, as single precision sees
// them in metres.
func tidy(ring []geom.Vec2) []geom.Vec2 {
	const same = 1e-4 // mm
	out := make([]geom.Vec2, 0, len(ring))
	for _, p := range ring {
		if n := len(out); n == 0 || p.Sub(out[n-1]).Norm() > same {
			out = append(out, p)
		}
	}
	for len(out) > 1 && out[len(out)-1].Sub(out[0]).Norm() <= same {
		out = out[:len(out)-1]
	}
	return out
}

// isSimple tells whether no two sides of a ring meet but at their common
// corner.
func isSimple(ring []geom.Vec2) bool {
	n := len(ring)
	if n < 3 {
		return false
	}
	for i := range n {
		a, b := ring[i], ring[(i+1)%n]
		if turn(a, b, ring[(i+2)%n]) == 0 && b.Sub(a).Dot(ring[(i+2)%n].Sub(b)) < 0 {
			return false // doubles back
		}
		for k := i + 2; k < n; k++ {
			if (k+1)%n != i && geom.SegmentDistance(a, b, ring[k], ring[(k+1)%n]) == 0 {
				return false
			}
		}
	}
	return true
}
