package paper

import (
	"slices"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// simpleChords is the longest outline that is looked through side by side for
// crossings; longer ones go through the overlay of areas, which is quicker for
// them.
const simpleChords = 80

// Rings is the shape of a panel as rings that do not cross: outlines
// anticlockwise, holes clockwise.
func Rings(p *kinematics.Panel, flatness float64) ([][]geom.Vec2, error) {
	if len(p.Openings) == 0 && len(p.Shape) == 1 {
		if ring := geom.TidyRing(p.Shape.Flatten(flatness)[0]); len(ring) <= simpleChords && geom.IsSimple(ring) {
			if geom.PolygonArea(ring) < 0 {
				slices.Reverse(ring)
			}
			return [][]geom.Vec2{ring}, nil
		}
	}
	shape, err := geom.Union(Shape(p))
	if err != nil {
		return nil, err
	}
	var out [][]geom.Vec2
	for _, ring := range shape.Flatten(flatness) {
		if ring = geom.TidyRing(ring); len(ring) > 2 {
			out = append(out, ring)
		}
	}
	return out, nil
}
