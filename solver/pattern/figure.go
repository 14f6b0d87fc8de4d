package pattern

import (
	"fmt"
	"sort"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

const (
	// tabOverlap is how far a figure's tab reaches into the figure, mm, so that
	// the two are joined along a neck and not along a line.
	tabOverlap = 0.5
	// neckShare is the least part of a tab's width that must be joined to the
	// figure; a narrower neck tears. Common practice.
	neckShare = 0.5
	// tabSliver is the share of a tab's area that is rounding and not paper.
	tabSliver = 1e-3
	// sliver is an area that is rounding and not paper, mm².
	sliver = 1e-3
)

// addFigure makes the part of a figure.
func (m *maker) addFigure(part Part, panel int) {
	place := m.seen(panel)
	m.place[panel], m.partOf[panel] = place, len(m.Parts)
	part.Panels = []PanelPlacement{{panel, place}}
	part.setShape(m.a.Panels[panel].Shape.Transform(place))
	part.middle = centroid(part.Outline.Flatten(flatTolerance))
	if loose := part.dropPieces(); loose > 0 {
		m.report(CodePieces, m.a.Panels[panel].Mechanism, "outline",
			fmt.Sprintf("%s falls into %d pieces; only the largest is made", part.Name, loose+1))
	}
	m.Parts = append(m.Parts, part)
}

// figureHost is the panel a figure's panel is fixed to.
func (m *maker) figureHost(panel int) int {
	return m.panelByID[m.a.Design.Mechanisms[m.a.Panels[panel].Mechanism].On.Panel]
}

// figurePlace takes the figure's own frame to its host panel.
func (m *maker) figurePlace(panel int) geom.Placement {
	spec := m.a.Design.Mechanisms[m.a.Panels[panel].Mechanism].Spec.(*design.Figure)
	p := geom.Turn(spec.Place.Rotate)
	p.T = geom.Vec2{X: spec.Place.U, Y: spec.Place.V}
	return p
}

// setShape takes an area apart into the outline and what is left of it.
func (p *Part) setShape(shape geom.Path) {
	outer := outerContour(shape)
	p.Outline, p.Holes = geom.Path{anticlockwise(shape[outer : outer+1])}, nil
	for i := range shape {
		if i != outer && abs(shape[i].Area()) > sliver {
			hole := geom.Path{anticlockwise(shape[i : i+1])}
			p.Holes = append(p.Holes, hole.Reverse()...)
		}
	}
	// Largest first, so that a contour comes after the one around it.
	sort.SliceStable(p.Holes, func(i, j int) bool { return abs(p.Holes[i].Area()) > abs(p.Holes[j].Area()) })
}

// dropPieces keeps the contours that are holes of the outline, and counts the
// rest: paper beside it or inside one of its holes.
func (p *Part) dropPieces() int {
	outer := p.Outline.Flatten(flatTolerance)[0]
	var holes geom.Path
	var rings [][]geom.Vec2
	loose := 0
	for i := range p.Holes {
		ring := p.Holes[i : i+1].Flatten(flatTolerance)[0]
		switch at := innerPoint(ring); {
		case !geom.PolygonContains(outer, at):
			loose++
		case geom.RingsContain(rings, at):
			loose++
		default:
			holes, rings = append(holes, p.Holes[i]), append(rings, ring)
		}
	}
	p.Holes = holes
	return loose
}

// flatTolerance is the chord error of outlines that only questions are asked
// of: where a label fits, what lies inside what. mm.
const flatTolerance = 0.02

// innerPoint is a point inside the ring: beside the middle of its longest edge.
func innerPoint(ring []geom.Vec2) geom.Vec2 {
	best, longest := geom.Vec2{}, -1.0
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		if d := b.Sub(a).Norm(); d > longest {
			side := b.Sub(a).Unit().Perp().Mul(weldTolerance)
			best, longest = a.Lerp(b, 0.5).Add(side), d
			if !geom.PolygonContains(ring, best) {
				best = best.Sub(side.Mul(2))
			}
		}
	}
	return best
}

// addFigureJoint fixes a figure to its panel.
func (m *maker) addFigureJoint(mechanism, panel int, spec *design.Figure) {
	part := &m.Parts[m.partOf[panel]]
	part.Artwork = append(part.Artwork, spec.Artwork.Transform(m.place[panel])...)
	if spec.Fix == design.TabInSlot {
		m.addFigureTab(mechanism, panel, spec)
	} else {
		m.addFigureGlue(mechanism, panel)
	}
}

// addFigureGlue marks the part of the figure that lies on its panel.
func (m *maker) addFigureGlue(mechanism, panel int) {
	host := m.figureHost(panel)
	part, hostPart := m.partOf[panel], m.partOf[host]
	toHost := m.figurePlace(panel)
	shape := append(append(geom.Path{}, m.Parts[part].Outline...), m.Parts[part].Holes...).
		Transform(m.place[panel].Inverse()).Transform(toHost)
	area, err := geom.Intersection(shape, m.a.Panels[host].Shape)
	if err != nil || abs(area.Area()) < sliver {
		m.report(CodeOffPanel, mechanism, "place",
			fmt.Sprintf("%s does not lie on %s, so nothing holds it", m.Parts[part].Name, m.a.Panels[host].ID))
		return
	}
	joint := m.newJoint(mechanism, m.a.Panels[panel].ID, part, hostPart)
	m.addGlue(part, GlueArea{
		Label: joint.Label, Joint: joint.ID, Part: joint.Host, Tab: true, OnBack: true,
		Path: area.Transform(toHost.Inverse()).Transform(m.place[panel]),
	}, geom.Vec2{X: 1})
	m.addGlue(hostPart, GlueArea{
		Label: joint.Label, Joint: joint.ID, Part: joint.Part, OnBack: m.onReverse(host, false),
		Path: area.Transform(m.place[host]),
	}, m.place[host].Dir(toHost.Dir(geom.Vec2{X: 1})))
}

// addFigureTab gives the figure a flat tab below v = 0 of its own frame and cuts
// the slot for it. The tab goes through the panel and is glued behind it, with
// its printed face to the panel's reverse.
func (m *maker) addFigureTab(mechanism, panel int, spec *design.Figure) {
	host := m.figureHost(panel)
	part, hostPart := m.partOf[panel], m.partOf[host]
	from, to, depth := spec.Tab.At-spec.Tab.Width/2, spec.Tab.At+spec.Tab.Width/2, spec.Tab.Depth
	// The figure's own frame, with the tab running down from v = 0.
	frame := tabFrame{along: geom.Vec2{X: 1}, into: geom.Vec2{Y: -1}}
	t := tab{from: from, to: to, polygon: []geom.Vec2{{X: from}, {X: to}, {X: to, Y: depth}, {X: from, Y: depth}}}
	shoulder, dry := m.lockJoint(mechanism, &t, spec.Tab.Shoulder, spec.Tab.Glued, "tab/shoulder")

	if !m.joinFigureTab(mechanism, panel, from, to, depth, &t) {
		return
	}
	joint := m.newJoint(mechanism, m.a.Panels[panel].ID, part, hostPart)
	joint.Slotted, joint.Shoulder, joint.Dry = true, shoulder, dry
	joint.Length, joint.Depth, joint.Wanted = t.length(), depth, depth
	m.addGlue(part, GlueArea{
		Label: joint.Label, Joint: joint.ID, Part: joint.Host, Tab: true, Path: t.path(&frame, m.place[panel]), Dry: dry,
	}, m.place[panel].Dir(frame.along))
	m.addWings(part, joint.ID, &t, func(p geom.Vec2) geom.Vec2 { return m.place[panel].Apply(frame.at(p)) })

	toHost := m.figurePlace(panel)
	onHost := tabFrame{toHost.T, toHost.Dir(frame.along), toHost.Dir(frame.into)}
	slot := m.addSlot(hostPart, host, joint, &onHost, t.from, t.to)
	if !m.onPanel(slot, host) {
		m.told = append(m.told, told{hostPart, slot})
		m.report(CodeSlotOffPanel, mechanism, "place",
			fmt.Sprintf("the slot for %s is not wholly on %s", m.Parts[part].Name, m.a.Panels[host].ID))
	}
	behind, err := geom.Intersection(t.path(&frame, toHost), m.a.Panels[host].Shape)
	if err == nil && abs(behind.Area()) > sliver {
		m.addGlue(hostPart, GlueArea{
			Label: joint.Label, Joint: joint.ID, Part: joint.Part, OnBack: m.onReverse(host, true), Dry: dry,
			Path: anticlockwisePath(behind.Transform(m.place[host])),
		}, m.place[host].Dir(onHost.along))
	}
}

// joinFigureTab adds the tab to the figure's outline, or cuts it from the figure
// where that covers it, or reports why neither can be done.
func (m *maker) joinFigureTab(mechanism, panel int, from, to, depth float64, t *tab) bool {
	part := &m.Parts[m.partOf[panel]]
	place := m.place[panel]
	figure := append(append(geom.Path{}, part.Outline...), part.Holes...)
	share := func(x0, y0, x1, y1 float64) float64 { // of a rectangle covered by the figure
		covered, err := geom.Intersection(figure, geom.Rect(x0, y0, x1, y1).Transform(place))
		if err != nil {
			return 0
		}
		return abs(covered.Area()) / ((x1 - x0) * (y1 - y0))
	}
	shape := make([]geom.Vec2, len(t.polygon)) // from the neck's end at from to that at to, and round
	for i, p := range t.polygon {
		shape[i] = geom.Vec2{X: p.X, Y: -p.Y}
	}
	if share(from, -depth, to, -tabOverlap) > tabSliver {
		web := m.web()
		if share(from-web, -depth-web, to+web, tabOverlap) < 1-tabSliver {
			m.reportLength(CodeTabInFigure, mechanism, "tab", web,
				fmt.Sprintf("%s reaches below its own line v = 0 and covers part of its tab: let it cover the tab and %s around it, or none of it", part.Name, m.a.Design.Show(web)))
			return false
		}
		// A tongue, cut free on three sides and pushed through the slot.
		tongue := []geom.Vec2{shape[0]}
		for i := len(shape) - 1; i > 0; i-- {
			tongue = append(tongue, shape[i])
		}
		part.Cuts = append(part.Cuts, geom.PolylinePath(tongue, false).Transform(place)...)
		return true
	}
	if share(t.from, 0, t.to, tabOverlap) < neckShare {
		m.report(CodeTabNotJoined, mechanism, "tab/at",
			fmt.Sprintf("the tab of %s is not joined to it: the outline must cover at least half the tab's width at v = 0", part.Name))
		return false
	}
	shape[0].Y, shape[1].Y = tabOverlap, tabOverlap
	joined, err := geom.Union(figure, anticlockwisePath(geom.PolylinePath(shape, true).Transform(place)))
	if err != nil {
		m.report(CodeTabNotJoined, mechanism, "tab/at",
			fmt.Sprintf("the tab of %s could not be joined to it: %v", part.Name, err))
		return false
	}
	part.setShape(joined)
	part.dropPieces()
	return true
}

func anticlockwisePath(p geom.Path) geom.Path {
	if p.Area() < 0 {
		return p.Reverse()
	}
	return p
}

// onPanel tells whether a convex polygon in the coordinates of a panel's part
// lies on the panel.
func (m *maker) onPanel(polygon geom.Path, panel int) bool {
	inverse := m.place[panel].Inverse()
	for _, p := range polygon.Flatten(flatTolerance)[0] {
		if !geom.PolygonContains(m.a.Panels[panel].Outline, inverse.Apply(p)) {
			return false
		}
	}
	return true
}
