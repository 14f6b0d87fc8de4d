package pattern

import (
	"fmt"
	"math"
	"slices"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// A strip that is drawn by the opening is a part of its own: its length with a
// glued end on either side, seen from above as it lies on the page, from what it
// pulls up along y. One end folds under what it pulls, the other is glued to the
// page beyond the anchor line.

// noFold is the Fold of a crease that is between no two panels.
const noFold = -1

// drawnStrip tells whether a strip is drawn by the opening and so made here.
func drawnStrip(s *kinematics.Strip) bool { return s.Length > 0 }

// addStripParts makes the strips of a mechanism.
func (m *maker) addStripParts(mechanism int) {
	for i := range m.a.Strips {
		s := &m.a.Strips[i]
		if s.Mechanism != mechanism || !drawnStrip(s) {
			continue
		}
		under, onPage := m.stripEnds(s)
		half := s.Width / 2
		m.addStrip(s, rectangle(-half, -under, half, s.Length+onPage), s.Length/2)
	}
}

// addStrip makes the part of a strip. Common practice: the grain of a pull strip
// runs along it.
func (m *maker) addStrip(s *kinematics.Strip, outline geom.Path, middle float64) {
	m.Parts = append(m.Parts, Part{
		ID: s.ID, Name: Spaced(s.ID), Mechanism: m.a.Design.Mechanisms[s.Mechanism].ID, Count: 1,
		Outline: outline, Grain: geom.Vec2{Y: 1}, middle: geom.Vec2{Y: middle},
	})
}

// stripEnds is the depth of the glued ends: the joint's tab depth, as far as
// there is room, clear of the crease at the far edge of what is pulled and on
// the page.
func (m *maker) stripEnds(s *kinematics.Strip) (under, onPage float64) {
	depth := m.jointOf(s.Mechanism).TabDepth
	room := func(f *kinematics.Face) float64 {
		deep := 0.0
		for _, p := range m.a.Panels[f.Panel].Outline {
			deep = max(deep, p.Sub(f.Origin).Dot(f.Away))
		}
		return deep
	}
	under = min(depth, room(&s.Pulls)-creaseClearance)
	onPage = min(depth, room(&s.Anchor))
	return max(under, 0), max(onPage, 0)
}

func rectangle(x0, y0, x1, y1 float64) geom.Path {
	return geom.PolylinePath([]geom.Vec2{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}, true)
}

// addStripJoints glues the strips of a mechanism and leaves the gaps they pass.
func (m *maker) addStripJoints(mechanism int) {
	for i := range m.a.Strips {
		s := &m.a.Strips[i]
		if s.Mechanism != mechanism || !drawnStrip(s) {
			continue
		}
		part := m.partIndex(s.ID)
		under, onPage := m.stripEnds(s)
		m.addStripEnd(part, s, "pull", &s.Pulls, -under, 0, m.stripEndAngles(s, &s.Pulls, true))
		m.addStripEnd(part, s, "anchor", &s.Anchor, s.Length, s.Length+onPage, m.stripEndAngles(s, &s.Anchor, false))
		m.cutGap(s)
	}
}

// addStripEnd glues one end of a strip, from y0 to y1 of the strip, to a panel
// beyond the line of a face.
func (m *maker) addStripEnd(part int, s *kinematics.Strip, end string, face *kinematics.Face, y0, y1 float64, angles [2]geom.Angle) {
	id := s.ID + "." + end
	if y1-y0 <= minTabDepth {
		m.report(CodeNoTab, s.Mechanism, "strip", fmt.Sprintf("%s has no room to be glued to %s", s.ID, m.a.Panels[face.Panel].ID))
		return
	}
	host := m.partOf[face.Panel]
	joint := m.newJoint(s.Mechanism, id, part, host)
	joint.Length, joint.Depth, joint.Wanted = s.Width, y1-y0, m.jointOf(s.Mechanism).TabDepth
	half := s.Width / 2
	crease := y0
	if end == "pull" {
		crease = y1
	}
	// Both ends fold up towards the side seen from above.
	m.Parts[part].Creases = append(m.Parts[part].Creases, Crease{
		ID: id, Fold: noFold, From: geom.Vec2{X: -half, Y: crease}, To: geom.Vec2{X: half, Y: crease}, Kind: Valley,
		AngleMin: angles[0], AngleMax: angles[1],
	})
	m.addGlue(part, GlueArea{
		Label: joint.Label, Joint: id, Part: joint.Host, Tab: true, Path: rectangle(-half, y0, half, y1), OnBack: true,
	}, geom.Vec2{X: 1})
	place := m.place[face.Panel]
	corner := func(along, away float64) geom.Vec2 {
		return place.Apply(face.Origin.Add(face.Along.Mul(along)).Add(face.Away.Mul(away)))
	}
	path := geom.PolylinePath([]geom.Vec2{corner(-half, 0), corner(half, 0), corner(half, y1-y0), corner(-half, y1-y0)}, true)
	if path.Area() < 0 {
		path = path.Reverse()
	}
	// The strip is under what it pulls, and on the page it is anchored to.
	m.addGlue(host, GlueArea{
		Label: joint.Label, Joint: id, Part: joint.Part, Path: path, OnBack: m.onReverse(face.Panel, end == "pull"),
	}, place.Dir(face.Along))
}

// stripEndAngles is the range of the angle between a strip and one of its glued
// ends, its first or its last, over what is reached.
func (m *maker) stripEndAngles(s *kinematics.Strip, face *kinematics.Face, first bool) (r [2]geom.Angle) {
	index := slices.IndexFunc(m.a.Strips, func(t kinematics.Strip) bool { return t.ID == s.ID })
	p := m.a.NewPose()
	found := false
	for _, drive := range slices.Concat(drives(m.a)...) {
		m.a.PoseInto(p, drive)
		if p.Reach[s.Mechanism] != kinematics.Reached {
			continue
		}
		path := p.Strips[index].Path()
		n := len(path)
		run := path[1].Sub(path[0]).Unit()
		if !first {
			run = path[n-2].Sub(path[n-1]).Unit()
		}
		glued := p.Panels[face.Panel].Dir(face.Away)
		sum, diff := glued.Add(run).Norm(), glued.Sub(run).Norm()
		angle := geom.Angle(2 * math.Atan2(diff, sum))
		if !found {
			r, found = [2]geom.Angle{angle, angle}, true
		}
		r = [2]geom.Angle{min(r[0], angle), max(r[1], angle)}
	}
	return r
}

// cutGap cuts the way of a strip through the base line it passes: out of the
// tab, its mark and its crease, and as far up the panel as the strip rises. The
// gap is as much longer than the strip is wide, and as much wider than the strip
// is thick, as a slot is for its tab.
func (m *maker) cutGap(s *kinematics.Strip) {
	base := m.baseOf(s.Gap.Panel)
	if base < 0 {
		return
	}
	fold := m.baseFold(base)
	part, id := m.partOf[s.Gap.Panel], m.a.Folds[base].ID
	clear := m.o.SlotLengthClearance / 2
	from, to := s.Gap.From-clear, s.Gap.To+clear
	up := s.Gap.Rise + m.a.Design.Paper.Caliper + m.o.SlotGapClearance
	deep := fold.joint.TabDepth + creaseClearance // past the far edge of the tab

	window := rectangle(from, -deep, to, up).Transform(m.place[s.Gap.Panel])
	m.Parts[part].Outline = m.without(s, m.Parts[part].Outline, window, 1)
	m.cutGlue(s, part, id, window)

	frame := fold.onHost(fold.joint.TabSide)
	host := fold.host.Panel
	corners := []geom.Vec2{{X: from, Y: -creaseClearance}, {X: to, Y: -creaseClearance}, {X: to, Y: deep}, {X: from, Y: deep}}
	for i := range corners {
		corners[i] = m.place[host].Apply(frame.at(corners[i]))
	}
	m.cutGlue(s, m.partOf[host], id, geom.PolylinePath(corners, true))

	kept := m.Parts[part].Creases[:0:0]
	origin, along := m.place[s.Gap.Panel].Apply(fold.panel.Origin), m.place[s.Gap.Panel].Dir(fold.panel.Along)
	for _, c := range m.Parts[part].Creases {
		if c.ID != id {
			kept = append(kept, c)
			continue
		}
		u0, u1 := along.Dot(c.From.Sub(origin)), along.Dot(c.To.Sub(origin))
		for _, piece := range [2][2]float64{{u0, min(u1, from)}, {max(u0, to), u1}} {
			if piece[1]-piece[0] > weldTolerance {
				c.From, c.To = origin.Add(along.Mul(piece[0])), origin.Add(along.Mul(piece[1]))
				kept = append(kept, c)
			}
		}
	}
	m.Parts[part].Creases = kept
}

// baseOf is the base fold of a panel; -1 when it has none.
func (m *maker) baseOf(panel int) int {
	for i := range m.a.Folds {
		if f := &m.a.Folds[i]; f.Role == kinematics.BaseFold && f.Panels[1] == panel {
			return i
		}
	}
	return -1
}

// cutGlue takes the window out of the glue areas of a joint. A joint with
// nothing left to glue is reported.
func (m *maker) cutGlue(s *kinematics.Strip, part int, joint string, window geom.Path) {
	for i := range m.Parts[part].Glue {
		if g := &m.Parts[part].Glue[i]; g.Joint == joint {
			g.Path = m.without(s, g.Path, window, 2)
		}
	}
}

// without is an area less a window, in no more pieces than given, the largest.
func (m *maker) without(s *kinematics.Strip, area, window geom.Path, pieces int) geom.Path {
	rest, err := geom.Difference(area, window)
	if err != nil || len(rest) == 0 {
		m.report(CodeNoTab, s.Mechanism, "strip/width", fmt.Sprintf("the gap for %s leaves nothing of the edge to glue", s.ID))
		return area
	}
	for len(rest) > pieces {
		least := 0
		for i := range rest {
			if abs(rest[i].Area()) < abs(rest[least].Area()) {
				least = i
			}
		}
		rest = append(rest[:least:least], rest[least+1:]...)
	}
	return rest
}
