package pattern

import (
	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// addSheet lays the panels that hang together by ridges flat as one part: the
// first ridge along y from the origin, every further panel on from the one it
// shares a ridge with. The gutter is the ridge of the pages. A panel without a
// ridge is a part of its own, with u along x.
func (m *maker) addSheet(part Part, panels, ridges []int) {
	index := len(m.Parts)
	largest := 0.0
	laid := map[int]bool{}
	lay := func(panel int, place geom.Placement, seam *kinematics.Fold) {
		laid[panel] = true
		m.place[panel], m.partOf[panel] = place, index
		part.Panels = append(part.Panels, PanelPlacement{panel, place})
		if area := abs(m.a.Panels[panel].Shape.Area()); area > largest {
			largest, part.middle = area, place.Apply(centroid([][]geom.Vec2{m.a.Panels[panel].Outline}))
		}
		part.joinPanel(m.a.Panels[panel].Shape.Transform(place), place, seam, panel)
	}
	first := panels[0]
	if len(ridges) == 0 {
		lay(first, m.seen(first), nil)
	} else {
		f := &m.a.Folds[ridges[0]]
		first = f.Panels[0]
		lay(first, m.layAlong(faceOn(f, first), geom.Vec2{}, geom.Vec2{Y: 1}), nil)
	}
	for {
		fold, panel := m.nextPanel(ridges, laid)
		if fold < 0 {
			break
		}
		f := &m.a.Folds[fold]
		other := f.Panels[0] + f.Panels[1] - panel
		on := faceOn(f, other)
		lay(panel, m.layAlong(faceOn(f, panel), m.place[other].Apply(on.Origin), m.place[other].Dir(on.Along)), f)
	}
	m.Parts = append(m.Parts, part)
}

// nextPanel finds a ridge between a panel that is laid and one that is not.
func (m *maker) nextPanel(ridges []int, laid map[int]bool) (fold, panel int) {
	for _, r := range ridges {
		p := m.a.Folds[r].Panels
		if laid[p[0]] != laid[p[1]] {
			if laid[p[0]] {
				return r, p[1]
			}
			return r, p[0]
		}
	}
	return -1, -1
}

func faceOn(f *kinematics.Fold, panel int) *kinematics.Face {
	if f.Left.Panel == panel {
		return &f.Left
	}
	return &f.Right
}

// joinPanel adds a panel, given in the part's coordinates, along the fold it
// shares with the panels already there.
func (p *Part) joinPanel(shape geom.Path, place geom.Placement, seam *kinematics.Fold, panel int) {
	outer := outerContour(shape)
	ring := anticlockwise(shape[outer : outer+1])
	for i := range shape {
		if i != outer {
			hole := geom.Path{anticlockwise(shape[i : i+1])}
			p.Holes = append(p.Holes, hole.Reverse()...)
		}
	}
	if seam == nil {
		p.Outline = geom.Path{ring}
		return
	}
	face := faceOn(seam, panel)
	at, along := place.Apply(face.Origin), place.Dir(face.Along)
	from, to := sharedEdge(at, along, seam.Length, p.Outline[0], ring)
	p.Outline = geom.Path{weld(p.Outline[0], ring, at.Add(along.Mul(from)), at.Add(along.Mul(to)))}
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

// foldedGrain is the direction of the fibres in a part with its main crease
// along y. Common practice: the grain of a page runs as its paper is cut, that
// of a piece along its main crease.
func (m *maker) foldedGrain(mechanism int) geom.Vec2 {
	if mechanism == kinematics.Spread && m.a.Design.Paper.Grain == design.AcrossGutter {
		return geom.Vec2{X: 1}
	}
	return geom.Vec2{Y: 1}
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
