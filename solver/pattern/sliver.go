package pattern

import (
	"slices"

	"foldwright/solver/draw"
	"foldwright/solver/geom"
)

// takeOutSlivers cleans outlines and holes of what joining areas leaves between
// edges that all but meet: needles of paper and cracks into it, and holes
// narrower than a blade.
func (m *maker) takeOutSlivers() {
	for i := range m.Parts {
		p := &m.Parts[i]
		for k := range p.Outline {
			p.Outline[k] = withoutNeedles(p.Outline[k])
		}
		p.Holes = slices.DeleteFunc(p.Holes, func(c geom.Contour) bool {
			hole := geom.Path{c}
			return 2*abs(hole.Area()) < draw.CutSliver*hole.Length()/2 // as wide as a long rectangle is
		})
		for k := range p.Holes {
			p.Holes[k] = withoutNeedles(p.Holes[k])
		}
	}
}

// withoutNeedles drops corners between straight edges that come back along each
// other within draw.CutSliver: the tip of a needle, or the flat end of one. What
// is left of its sides is a straight edge again.
func withoutNeedles(c geom.Contour) geom.Contour {
	segments := slices.Clone(closedSegments(&c))
	changed := false
	for {
		i := needleAt(segments)
		if i < 0 || len(segments) <= 3 {
			break
		}
		segments = slices.Delete(segments, i, i+1)
		changed = true
	}
	if !changed {
		return c
	}
	return tidied(geom.Contour{Start: segments[len(segments)-1].To, Segments: segments, Closed: true})
}

// needleAt is a corner to drop; -1 when there is none. Every segment goes from
// the end of the one before it, round the contour.
func needleAt(segments []geom.Segment) int {
	n := len(segments)
	at := func(i int) *geom.Segment { return &segments[(i+n)%n] }
	for i := range segments {
		if at(i).Kind != geom.Line || at(i+1).Kind != geom.Line {
			continue
		}
		before, tip, after := at(i-1).To, at(i).To, at(i+1).To
		in, out := tip.Sub(before), after.Sub(tip)
		if in.Dot(out) < 0 && min(geom.PointSegmentDistance(after, before, tip), geom.PointSegmentDistance(before, tip, after)) < draw.CutSliver {
			return i
		}
		// The flat end of a needle: the sides at a short edge run against each
		// other. One of its corners goes, and the next time round the other.
		if at(i+2).Kind == geom.Line && out.Norm() < draw.CutSliver && in.Norm() > draw.CutSliver {
			next := at(i + 2).To.Sub(after)
			if next.Norm() > draw.CutSliver && in.Unit().Dot(next.Unit()) < -0.9 {
				return i
			}
		}
	}
	return -1
}
