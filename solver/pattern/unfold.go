package pattern

import (
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// addSheet lays panels that hang together by folds flat as one part: the first
// fold along y from the origin, every further panel on from the one it shares a
// fold with, as long as that is a free edge of both and there is room beside
// it. The gutter is the fold of the pages. A panel without a fold is a part of
// its own, with u along x. What is left is returned.
//
// A sheet has two panels along a line and never three, and a ring of panels
// does not lie flat: the folds that are left over are glued.
func (m *maker) addSheet(part Part, panels, folds []int) []int {
	index := len(m.Parts)
	largest := 0.0
	waiting := map[int]bool{}
	for _, p := range panels {
		waiting[p] = true
	}
	laid := map[int]bool{}
	lay := func(panel int, place geom.Placement) {
		laid[panel] = true
		delete(waiting, panel)
		m.place[panel], m.partOf[panel] = place, index
		part.Panels = append(part.Panels, PanelPlacement{panel, place})
		if area := abs(m.a.Panels[panel].Shape.Area()); area > largest {
			largest, part.middle = area, place.Apply(centroid([][]geom.Vec2{m.a.Panels[panel].Outline}))
		}
	}
	first, start := panels[0], m.seen(panels[0])
	for _, i := range folds {
		if f := &m.a.Folds[i]; waiting[f.Panels[0]] && waiting[f.Panels[1]] {
			first = f.Panels[0]
			start = m.layAlong(faceOn(f, first), geom.Vec2{}, geom.Vec2{Y: 1})
			break
		}
	}
	lay(first, start)
	part.setShape(m.a.Panels[first].Shape.Transform(start))
	for again := true; again; {
		again = false
		for _, i := range folds {
			f := &m.a.Folds[i]
			for k, panel := range f.Panels {
				other := f.Panels[1-k]
				if !laid[other] || !waiting[panel] {
					continue
				}
				on := faceOn(f, other)
				place := layBeyond(faceOn(f, panel), on, m.place[other])
				if part.joinPanel(m.a.Panels[panel].Shape.Transform(place), place, f, panel) {
					lay(panel, place)
					m.inSheet[i], again = true, true
				}
			}
		}
	}
	m.Parts = append(m.Parts, part)
	var rest []int
	for _, p := range panels {
		if waiting[p] {
			rest = append(rest, p)
		}
	}
	return rest
}

func faceOn(f *kinematics.Fold, panel int) *kinematics.Face {
	if f.Left.Panel == panel {
		return &f.Left
	}
	return &f.Right
}

// layBeyond is the placement of a panel beside one already placed, across the
// line their faces share. It is the side of the paper the other panel shows that
// is seen: the printed face, or the reverse where a hinge turns the panel over.
func layBeyond(f, other *kinematics.Face, placed geom.Placement) geom.Placement {
	along, away := placed.Dir(other.Along), placed.Dir(other.Away).Mul(-1)
	mirror := (along.Cross(away) < 0) != (f.Along.Cross(f.Away) < 0)
	return layFace(f, placed.Apply(other.Origin), along, mirror)
}

// joinPanel adds a panel, given in the part's coordinates, along the fold it
// shares with the panels already there. It does nothing when the fold is not a
// free edge of both or the panel would lie on others.
func (p *Part) joinPanel(shape geom.Path, place geom.Placement, seam *kinematics.Fold, panel int) bool {
	outer := outerContour(shape)
	ring := anticlockwise(shape[outer : outer+1])
	face := faceOn(seam, panel)
	at, along := place.Apply(face.Origin), place.Dir(face.Along)
	from, to := sharedEdge(at, along, seam.Length, p.Outline[0], ring)
	if to-from < minTabTop {
		return false
	}
	if !acrossLine(at, along, p.Outline[0], ring) {
		if both, err := geom.Intersection(p.Outline, geom.Path{ring}); err != nil || abs(both.Area()) > sliver {
			return false
		}
	}
	for i := range shape {
		if i != outer {
			hole := geom.Path{anticlockwise(shape[i : i+1])}
			p.Holes = append(p.Holes, hole.Reverse()...)
		}
	}
	p.Outline = geom.Path{weld(p.Outline[0], ring, at.Add(along.Mul(from)), at.Add(along.Mul(to)))}
	return true
}

// acrossLine tells whether two contours lie on opposite sides of a line, and so
// do not overlap.
func acrossLine(at, along geom.Vec2, a, b geom.Contour) bool {
	least, most := beside(at, along, a)
	from, to := beside(at, along, b)
	return most <= weldTolerance && from >= -weldTolerance || to <= weldTolerance && least >= -weldTolerance
}

// beside is how far a contour reaches to either side of a line.
func beside(at, along geom.Vec2, c geom.Contour) (least, most float64) {
	turned := geom.Path{c}.Transform(geom.Placement{C: along.X, S: -along.Y}).Bounds()
	y := along.Cross(at)
	return turned.Min.Y - y, turned.Max.Y - y
}

// seen is the placement of a panel alone: seen from its printed face with v
// upwards. From the other side u runs to the left: a mirror in v, turned half
// round.
func (m *maker) seen(panel int) geom.Placement {
	if m.a.Panels[panel].Printed < 0 {
		return geom.Placement{C: -1, Mirror: true}
	}
	return geom.Identity
}

// layAlong is the placement of a panel that puts a face's origin at a point and
// its line along a direction, seen from the printed face.
func (m *maker) layAlong(f *kinematics.Face, at, along geom.Vec2) geom.Placement {
	return layFace(f, at, along, m.a.Panels[f.Panel].Printed < 0)
}

// layFace is the placement, mirrored or not, that puts a face's origin at a
// point and its line along a direction.
func layFace(f *kinematics.Face, at, along geom.Vec2, mirror bool) geom.Placement {
	// The turn that takes the line, mirrored first, to the direction asked for.
	a := f.Along
	if mirror {
		a.Y = -a.Y
	}
	p := geom.Placement{C: along.Dot(a), S: a.Cross(along), Mirror: mirror}
	p.T = at.Sub(p.Dir(f.Origin))
	return p
}

// outerContour is the index of the contour that encloses the most.
func outerContour(shape geom.Path) int {
	best, most := 0, -1.0
	for i := range shape {
		if area := abs(shape[i].Area()); area > most {
			best, most = i, area
		}
	}
	return best
}

// anticlockwise is the single contour of a path, run anticlockwise.
func anticlockwise(p geom.Path) geom.Contour {
	if p.Area() < 0 {
		p = p.Reverse()
	}
	return p[0]
}
