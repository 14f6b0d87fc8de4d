package view

import (
	"slices"

	"foldwright/solver/geom"
)

// rejoin undoes the splits that do not matter to the eye: two parts become one
// again when nothing painted between them overlaps one of the two, which can
// then be painted when the other is. Later splits are of the parts of earlier
// ones, so the latest come first.
func (s *scene) rejoin(order []*fragment, partings []parting) []*fragment {
	place := make(map[*fragment]int, len(order))
	for i, g := range order {
		place[g] = i
	}
	for k := len(partings) - 1; k >= 0 && !s.watch.halted(); k-- {
		p := &partings[k]
		i, hasFront := place[p.front]
		j, hasBack := place[p.back]
		if !hasFront || !hasBack {
			continue // split again, and needed so
		}
		low, high := min(i, j), max(i, j)
		between := order[low+1 : high]
		switch {
		case !s.overlapsAny(order[low], between):
			order[high] = p.whole
			order = slices.Delete(order, low, low+1)
		case !s.overlapsAny(order[high], between):
			order[low] = p.whole
			order = slices.Delete(order, high, high+1)
		default:
			continue
		}
		delete(place, p.front)
		delete(place, p.back)
		for i := low; i < len(order); i++ {
			place[order[i]] = i
		}
	}
	return order
}

func (s *scene) overlapsAny(g *fragment, list []*fragment) bool {
	for _, h := range list {
		if h.face != g.face && s.mayOverlap(g, h) {
			return true
		}
	}
	return false
}

// mayOverlap tells whether the convex hulls of two fragments overlap in the
// picture. Fragments that meet at a fold do not.
func (s *scene) mayOverlap(g, h *fragment) bool {
	a, b := s.hull(g), s.hull(h)
	return !parted(a, b, s.tolerance) && !parted(b, a, s.tolerance)
}

// parted tells whether a side of the convex polygon a, anticlockwise, has all
// of b outside, up to the tolerance.
func parted(a, b []geom.Vec2, tolerance float64) bool {
	for i, p := range a {
		side := a[(i+1)%len(a)].Sub(p)
		reach := -tolerance * side.Norm()
		out := true
		for _, q := range b {
			if side.Cross(q.Sub(p)) > -reach {
				out = false
				break
			}
		}
		if out {
			return true
		}
	}
	return false
}

// shape is the fragment in the picture plane.
func (s *scene) shape(g *fragment) [][]geom.Vec2 {
	if g.drawn == nil {
		g.drawn = make([][]geom.Vec2, len(g.rings))
		for i, ring := range g.rings {
			g.drawn[i] = make([]geom.Vec2, len(ring))
			for j, c := range ring {
				g.drawn[i][j] = s.eye.project(g.face.frame.At(c.at))
			}
		}
	}
	return g.drawn
}

func (s *scene) hull(g *fragment) []geom.Vec2 {
	if g.hull == nil {
		var points []geom.Vec2
		for _, ring := range s.shape(g) {
			points = append(points, ring...)
		}
		g.hull = geom.ConvexHull(points)
	}
	return g.hull
}
