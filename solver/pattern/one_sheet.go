package pattern

import (
	"slices"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// oneSheet tells whether a mechanism is cut from its host instead of glued to
// it.
func (m *maker) oneSheet(mechanism int) bool {
	return mechanism != kinematics.Spread && m.a.Design.Mechanisms[mechanism].Info().OneSheet
}

// visible tells which side of a panel its part shows: +1 the side u×v points
// to. It is the printed side, but for panels cut from the far side of a fold or
// turned over by a hinge.
func (m *maker) visible(panel int) float64 {
	if m.place[panel].Mirror {
		return -1
	}
	return 1
}

// addOneSheet puts the panels of mechanisms cut from their host where they lie
// in the flat sheet, each beyond its base line, and makes their cuts. Base folds
// come after those of the hosts.
func (m *maker) addOneSheet() {
	for i := range m.a.Folds {
		if f := &m.a.Folds[i]; f.Role == kinematics.BaseFold && m.oneSheet(f.Mechanism) {
			b := m.baseFold(i)
			m.layInHost(&b)
			m.addCuts(b.panel.Panel)
		}
	}
	for i := range m.Parts {
		m.Parts[i].Cuts = chained(m.Parts[i].Cuts)
	}
}

// layInHost places a panel where it is cut: its base line on that of the host,
// and away from it the way that leads back from the outer part of the host.
func (m *maker) layInHost(b *baseFold) {
	host, panel := b.host.Panel, b.panel.Panel
	m.place[panel] = layBeyond(b.panel, b.host, m.place[host])
	m.partOf[panel] = m.partOf[host]
	part := &m.Parts[m.partOf[host]]
	part.Panels = append(part.Panels, PanelPlacement{panel, m.place[panel]})
}

// addCuts cuts the free edges of a panel: all of its outline but its folds.
func (m *maker) addCuts(panel int) {
	shape := m.a.Panels[panel].Shape.Transform(m.place[panel])
	var lines []edge
	for i := range m.a.Folds {
		f := &m.a.Folds[i]
		if f.Role == kinematics.BaseFold && f.Panels[0] == panel {
			continue // of something that stands on the panel
		}
		for _, face := range []*kinematics.Face{&f.Left, &f.Right} {
			if face.Panel == panel {
				lines = append(lines, edge{
					m.place[panel].Apply(face.Origin.Add(face.Along.Mul(f.Start))),
					m.place[panel].Apply(face.Origin.Add(face.Along.Mul(f.Length))),
				})
			}
		}
	}
	onFold := func(a, b geom.Vec2) bool {
		return slices.ContainsFunc(lines, func(l edge) bool {
			return geom.PointSegmentDistance(a, l.a, l.b) < weldTolerance && geom.PointSegmentDistance(b, l.a, l.b) < weldTolerance
		})
	}
	part := &m.Parts[m.partOf[panel]]
	for i := range shape {
		from := shape[i].Start
		segments := closedSegments(&shape[i])
		var run *geom.Contour
		for _, s := range segments {
			if s.Kind == geom.Line && onFold(from, s.To) {
				run = nil
			} else {
				if run == nil {
					part.Cuts = append(part.Cuts, geom.Contour{Start: from})
					run = &part.Cuts[len(part.Cuts)-1]
				}
				run.Segments = append(run.Segments, s)
			}
			from = s.To
		}
	}
}

// chained joins open lines that run on from one another, so that a cutter makes
// each in one go.
func chained(lines geom.Path) geom.Path {
	for i := 0; i < len(lines); i++ {
		for j := i + 1; j < len(lines); j++ {
			joined, ok := runTogether(lines[i], lines[j])
			if ok {
				lines[i] = joined
				lines = slices.Delete(lines, j, j+1)
				j = i // the longer line may meet one passed over
			}
		}
	}
	return lines
}

// runTogether joins two open lines with a common end, either way round.
func runTogether(a, b geom.Contour) (geom.Contour, bool) {
	meet := func(p, q geom.Vec2) bool { return p.Sub(q).Norm() < weldTolerance }
	back := func(c geom.Contour) geom.Contour { return geom.Path{c}.Reverse()[0] }
	switch {
	case meet(a.End(), b.Start):
	case meet(a.End(), b.End()):
		b = back(b)
	case meet(a.Start, b.End()):
		a, b = b, a
	case meet(a.Start, b.Start):
		a = back(a)
	default:
		return a, false
	}
	out := geom.Contour{Start: a.Start}
	out.Segments = append(append(out.Segments, a.Segments...), b.Segments...)
	return merged(out), true
}

// merged drops the points of an open line where it runs straight on.
func merged(c geom.Contour) geom.Contour {
	out := geom.Contour{Start: c.Start}
	for _, s := range c.Segments {
		n := len(out.Segments)
		if n > 0 && s.Kind == geom.Line && out.Segments[n-1].Kind == geom.Line {
			before := out.Start
			if n > 1 {
				before = out.Segments[n-2].To
			}
			if runsOn(before, out.Segments[n-1].To, s.To) {
				out.Segments[n-1].To = s.To
				continue
			}
		}
		out.Segments = append(out.Segments, s)
	}
	return out
}

// creaseLeft is what is left of a fold's line, as stretches of from..to in mm,
// where mechanisms cut from the sheet take in parts of it.
func (m *maker) creaseLeft(fold int, at, along geom.Vec2, from, to float64) [][2]float64 {
	left := [][2]float64{{from, to}}
	for i := range m.a.Panels {
		owner := m.a.Panels[i].Mechanism
		if !m.oneSheet(owner) || m.a.Design.Mechanisms[owner].On.Fold != m.a.Folds[fold].ID {
			continue
		}
		ring := m.a.Panels[i].Shape.Transform(m.place[i]).Flatten(flatTolerance)[0]
		var rest [][2]float64
		for _, s := range left {
			rest = append(rest, outside(ring, at, along, s[0], s[1])...)
		}
		left = rest
	}
	return left
}
