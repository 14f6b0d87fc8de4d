package pattern

import "slices"

import "foldwright/solver/geom"

// weldTolerance is how far apart points of two outlines may be and still be the
// same point, mm. Placing panels in a part leaves 1e-13 of a sheet's metre; a
// cutter sees 1e-2.
const weldTolerance = 1e-6

// weld joins two anticlockwise contours that touch from outside along the line
// pq, which lies on a straight edge of each, into the contour of their union.
// Curves are kept as they are. A contour without such an edge is a broken
// invariant: the lines come from the panels themselves.
func weld(a, b geom.Contour, p, q geom.Vec2) geom.Contour {
	ra, ok := openedAt(a, p, q)
	if !ok {
		panic("pattern: outline without the edge it is joined along")
	}
	rb, ok := openedAt(b, p, q)
	if !ok {
		panic("pattern: outline without the edge it is joined along")
	}
	// Each run goes round its contour from the end of the edge to its start.
	out := geom.Contour{Start: ra.Start, Closed: true}
	out.Segments = append(out.Segments, ra.Segments...)
	out.Segments = append(out.Segments, geom.Segment{Kind: geom.Line, To: rb.Start})
	out.Segments = append(out.Segments, rb.Segments...)
	out.Segments = append(out.Segments, geom.Segment{Kind: geom.Line, To: ra.Start})
	return tidied(out)
}

// edgeOn is the stretch of a line, from..to of its length from a point, that is
// a straight edge of the contour: the longest one when there are several. An
// empty stretch has to < from.
func edgeOn(at, along geom.Vec2, length float64, c geom.Contour) (from, to float64) {
	from, to = 0, -1
	segments := closedSegments(&c)
	p := c.Start
	for _, s := range segments {
		a, b := p.Sub(at), s.To.Sub(at)
		p = s.To
		if s.Kind != geom.Line || abs(along.Cross(a)) > weldTolerance || abs(along.Cross(b)) > weldTolerance {
			continue
		}
		u, v := along.Dot(a), along.Dot(b)
		u, v = max(0, min(u, v)), min(length, max(u, v))
		if v-u > to-from {
			from, to = u, v
		}
	}
	return from, to
}

// sharedEdge is the stretch of a line that is a straight edge of both contours.
func sharedEdge(at, along geom.Vec2, length float64, a, b geom.Contour) (from, to float64) {
	fa, ta := edgeOn(at, along, length, a)
	fb, tb := edgeOn(at, along, length, b)
	return max(fa, fb), min(ta, tb)
}

// openedAt is the contour without its straight edge through p and q: the open
// run from the end of that edge round to its start.
func openedAt(c geom.Contour, p, q geom.Vec2) (geom.Contour, bool) {
	segments := closedSegments(&c)
	from := c.Start
	for i, s := range segments {
		if s.Kind == geom.Line &&
			geom.PointSegmentDistance(p, from, s.To) < weldTolerance &&
			geom.PointSegmentDistance(q, from, s.To) < weldTolerance {
			run := geom.Contour{Start: s.To}
			run.Segments = append(run.Segments, segments[i+1:]...)
			run.Segments = append(run.Segments, segments[:i]...)
			return run, true
		}
		from = s.To
	}
	return geom.Contour{}, false
}

// tidied drops lines without length and points in the middle of a straight
// line, and ends where it starts.
func tidied(c geom.Contour) geom.Contour {
	points := make([]geom.Segment, 0, len(c.Segments)) // each with its end
	at := c.Start
	for _, s := range c.Segments {
		if s.Kind == geom.Line && s.To.Sub(at).Norm() < weldTolerance {
			continue
		}
		points = append(points, s)
		at = s.To
	}
	if n := len(points); n > 0 && at.Sub(c.Start).Norm() < weldTolerance {
		points[n-1].To = c.Start
	}
	// A point is needless when the lines before and after it run on.
	n := len(points)
	needless := func(i int) bool {
		i = (i + n) % n
		before, after := points[(i+n-1)%n], points[(i+1)%n]
		return points[i].Kind == geom.Line && after.Kind == geom.Line && runsOn(before.To, points[i].To, after.To)
	}
	first := 0
	for first < n-1 && needless(first) {
		first++
	}
	out := geom.Contour{Start: points[first].To, Closed: true}
	for i := first + 1; i <= first+n; i++ {
		if !needless(i) {
			out.Segments = append(out.Segments, points[i%n])
		}
	}
	return out
}

func runsOn(a, b, c geom.Vec2) bool {
	return b.Sub(a).Dot(c.Sub(b)) > 0 && geom.PointSegmentDistance(b, a, c) < weldTolerance
}

// closedSegments are the segments of a closed contour with its closing line.
func closedSegments(c *geom.Contour) []geom.Segment {
	if c.End() == c.Start {
		return c.Segments
	}
	return append(slices.Clip(c.Segments), geom.Segment{Kind: geom.Line, To: c.Start})
}
