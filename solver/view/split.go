package view

import (
	"cmp"
	"slices"

	"foldwright/solver/geom"
)

// fragment is a face or a part of one.
type fragment struct {
	face  *face
	rings [][]corner
	// cuts are the planes it was cut at, with the side it is on, and seams the
	// parts of them that have paper on both sides.
	cuts  []halfPlane
	seams [][2]geom.Vec2
	// drawn is its shape in the picture plane, and hull the convex hull of it,
	// both filled in when asked for.
	drawn [][]geom.Vec2
	hull  []geom.Vec2
}

// plane is n·x = c, n a unit vector.
type plane struct {
	n geom.Vec3
	c float64
}

func (f *face) plane() plane { return plane{f.normal, f.normal.Dot(f.frame.Origin)} }

// cutLine is a plane as seen in the coordinates of a face: the distance of the
// point (u, v) from the plane is slope·(u, v) + c.
type cutLine struct {
	slope geom.Vec2
	c     float64
}

func (f *face) cutBy(p plane) cutLine {
	return cutLine{
		slope: geom.Vec2{X: p.n.Dot(f.frame.X), Y: p.n.Dot(f.frame.Y)},
		c:     p.n.Dot(f.frame.Origin) - p.c,
	}
}

// halfPlane is one side of a cut.
type halfPlane struct {
	line cutLine
	side lies
}

func (l *cutLine) distance(p geom.Vec2) float64 { return l.slope.Dot(p) + l.c }

// lies is where something is with respect to a plane.
type lies int8

const (
	behind  lies = -1
	within  lies = 0
	before  lies = 1
	astride lies = 2
)

func (l *cutLine) of(p geom.Vec2, tolerance float64) lies {
	switch d := l.distance(p); {
	case d > tolerance:
		return before
	case d < -tolerance:
		return behind
	}
	return within
}

// against tells where the fragment is with respect to a plane.
func (g *fragment) against(p plane, tolerance float64) lies {
	line := g.face.cutBy(p)
	found := within
	for _, ring := range g.rings {
		for _, c := range ring {
			at := line.of(c.at, tolerance)
			switch {
			case at == within || at == found:
			case found == within:
				found = at
			default:
				return astride
			}
		}
	}
	return found
}

// split cuts the fragment in two at a plane it lies astride.
func (g *fragment) split(p plane, tolerance float64) (front, back *fragment) {
	line := g.face.cutBy(p)
	front = &fragment{face: g.face}
	back = &fragment{face: g.face}
	for _, ring := range g.rings {
		if r := clipRing(ring, &line, tolerance, before); r != nil {
			front.rings = append(front.rings, r)
		}
		if r := clipRing(ring, &line, tolerance, behind); r != nil {
			back.rings = append(back.rings, r)
		}
	}
	n := len(g.cuts)
	front.cuts = append(g.cuts[:n:n], halfPlane{line, before})
	back.cuts = append(g.cuts[:n:n], halfPlane{line, behind})
	for _, s := range g.seams {
		if c, ok := clipSeam(s, &line, tolerance, before); ok {
			front.seams = append(front.seams, c)
		}
		if c, ok := clipSeam(s, &line, tolerance, behind); ok {
			back.seams = append(back.seams, c)
		}
	}
	for _, s := range g.face.whole.inside(&line) {
		ok := true
		for i := range g.cuts {
			if s, ok = clipSeam(s, &g.cuts[i].line, tolerance, g.cuts[i].side); !ok {
				break
			}
		}
		if ok {
			front.seams, back.seams = append(front.seams, s), append(back.seams, s)
		}
	}
	return front, back
}

// clipRing keeps the part of a ring on one side of a line (Sutherland and
// Hodgman). Corners on the line belong to both sides. nil when nothing of the
// ring is beyond the line.
func clipRing(ring []corner, line *cutLine, tolerance float64, keep lies) []corner {
	out := make([]corner, 0, len(ring)+2)
	beyond := false
	for i, c := range ring {
		next := ring[(i+1)%len(ring)]
		from, to := line.of(c.at, tolerance), line.of(next.at, tolerance)
		beyond = beyond || from == keep
		switch {
		case from == keep && to == -keep:
			out = append(out, c, corner{line.crossing(c.at, next.at), cut})
		case from == within && to == -keep:
			out = append(out, corner{c.at, cut})
		case from == -keep && to == keep:
			out = append(out, corner{line.crossing(c.at, next.at), c.side})
		case from != -keep:
			out = append(out, c)
		}
	}
	if !beyond {
		return nil
	}
	return out
}

// crossing is where the side from a to b, which lie on different sides, meets
// the line. It is worked out from the same end whichever side is kept, so that
// the two parts fit.
func (l *cutLine) crossing(a, b geom.Vec2) geom.Vec2 {
	da, db := l.distance(a), l.distance(b)
	if da < 0 {
		a, b, da, db = b, a, db, da
	}
	return a.Lerp(b, da/(da-db))
}

func clipSeam(s [2]geom.Vec2, line *cutLine, tolerance float64, keep lies) ([2]geom.Vec2, bool) {
	from, to := line.of(s[0], tolerance), line.of(s[1], tolerance)
	switch {
	case from != keep && to != keep:
		return s, false
	case from == -keep:
		s[0] = line.crossing(s[0], s[1])
	case to == -keep:
		s[1] = line.crossing(s[0], s[1])
	}
	return s, true
}

// inside is the part of a line that has the fragment's paper on the side behind
// it. It is asked of whole faces only: the rings of parts run along earlier
// cuts, where there may be no paper.
func (g *fragment) inside(line *cutLine) [][2]geom.Vec2 {
	var points []geom.Vec2
	for _, ring := range g.rings {
		for i, c := range ring {
			next := ring[(i+1)%len(ring)]
			if (line.distance(c.at) < 0) != (line.distance(next.at) < 0) {
				points = append(points, line.crossing(c.at, next.at))
			}
		}
	}
	along := line.slope.Perp()
	slices.SortStableFunc(points, func(a, b geom.Vec2) int { return cmp.Compare(along.Dot(a), along.Dot(b)) })
	seams := make([][2]geom.Vec2, 0, len(points)/2)
	for i := 0; i+1 < len(points); i += 2 {
		seams = append(seams, [2]geom.Vec2{points[i], points[i+1]})
	}
	return seams
}
