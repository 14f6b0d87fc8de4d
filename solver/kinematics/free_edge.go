package kinematics

import "foldwright/solver/geom"

func line(to geom.Vec2) geom.Segment { return geom.Segment{Kind: geom.Line, To: to} }

// freeEdge is the free edge of a panel from one point to another: straight, or a
// profile drawn from (0, 0) to (1, 0) with its positive side away from the
// panel, which lies to the left of the edge.
func freeEdge(profile geom.Path, from, to geom.Vec2) []geom.Segment {
	if profile == nil {
		return []geom.Segment{line(to)}
	}
	fitted := profile.Transform(geom.Onto(from, to.Sub(from), true))
	segments := fitted[0].Segments
	segments[len(segments)-1].To = to // to the last bit
	return segments
}
