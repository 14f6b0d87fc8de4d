package pattern

import (
	"fmt"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// addJoints makes the tabs of every mechanism and their marks on the hosts, and
// gives out the letters in the order of the design.
func (m *maker) addJoints() {
	folds := make([][]int, len(m.a.Design.Mechanisms))
	for i := range m.a.Folds {
		if f := &m.a.Folds[i]; f.Mechanism != kinematics.Spread && !m.inSheet[i] && !m.oneSheet(f.Mechanism) {
			folds[f.Mechanism] = append(folds[f.Mechanism], i)
		}
	}
	figures := make([]int, len(folds))
	for i := range m.a.Panels {
		if owner := m.a.Panels[i].Mechanism; owner != kinematics.Spread {
			figures[owner] = i
		}
	}
	for i := range m.a.Design.Mechanisms {
		if m.stop() {
			return
		}
		if figures[i] == 0 {
			continue // left out of the assembly
		}
		list := make([]baseFold, len(folds[i]))
		for k, fold := range folds[i] {
			list[k] = m.baseFold(fold)
		}
		for k := range list {
			m.addBaseJoint(i, &list[k], list)
		}
		if spec, ok := m.a.Design.Mechanisms[i].Spec.(*design.Figure); ok {
			m.addFigureJoint(i, figures[i], spec)
		}
		m.addStripJoints(i)
		m.addHandJoints(i)
	}
}

// letter is the name of the n-th joint: A to Z, AA, AB and on.
func letter(n int) string {
	if n < 26 {
		return string(rune('A' + n))
	}
	return letter(n/26-1) + letter(n%26)
}

func (m *maker) newJoint(mechanism int, id string, part, host int) *Joint {
	m.Joints = append(m.Joints, Joint{
		Label: letter(len(m.Joints)), ID: id, Mechanism: mechanism,
		Part: m.Parts[part].ID, Host: m.Parts[host].ID,
	})
	return &m.Joints[len(m.Joints)-1]
}

// addBaseJoint makes the tab along one of the mechanism's base lines.
func (m *maker) addBaseJoint(mechanism int, b *baseFold, all []baseFold) {
	spec := &b.joint
	limits := m.hostLimits(b, spec)
	for i := range all {
		if h, ok := m.siblingLimit(b, &all[i]); ok {
			limits = append(limits, h)
		}
	}
	from, to := m.shareOfEdge(b, all)
	t, ok := m.fitTab(b, spec, from, to, limits)
	if !ok {
		m.report(CodeNoTab, mechanism, "joint",
			fmt.Sprintf("%s has no room for a tab between the edges and creases of %s and beside its own part", m.a.Folds[b.index].ID, m.a.Panels[b.host.Panel].ID))
		return
	}
	panel, host := b.panel.Panel, b.host.Panel
	part, hostPart := m.partOf[panel], m.partOf[host]
	joint := m.newJoint(mechanism, m.a.Folds[b.index].ID, part, hostPart)
	joint.Slotted = spec.Fix == design.Slotted
	shoulder := 0.0
	if joint.Slotted {
		shoulder = spec.Shoulder
	}
	joint.Shoulder, joint.Dry = m.lockJoint(mechanism, &t, shoulder, spec.Glued, "joint/shoulder")
	joint.Length, joint.Depth, joint.Wanted = t.length(), t.depth(), spec.TabDepth

	onPanel, onHost := b.onPanel(), b.onHost(spec.TabSide)
	m.joinTab(part, panel, &t, &onPanel)
	m.addCrease(part, b, &t, m.relieve(part, panel, &t, &onPanel, spec.Relief))
	m.addWings(part, joint.ID, &t, func(p geom.Vec2) geom.Vec2 { return m.place[panel].Apply(onPanel.at(p)) })
	along := m.place[panel].Dir(onPanel.along)
	m.addGlue(part, GlueArea{
		Label: joint.Label, Joint: joint.ID, Part: joint.Host, Tab: true,
		Path: t.path(&onPanel, m.place[panel]), OnBack: m.tabOnBack(b), Dry: joint.Dry,
	}, along)

	if joint.Slotted {
		m.addSlot(hostPart, host, joint, &onHost, t.from, t.to)
	}
	m.addGlue(hostPart, GlueArea{
		Label: joint.Label, Joint: joint.ID, Part: joint.Part,
		Path:   t.path(&onHost, m.place[host]),
		OnBack: m.hostOnBack(b) != joint.Slotted, Dry: joint.Dry,
	}, m.place[host].Dir(onHost.along))
}

// shareOfEdge is the stretch of the base line that is an edge of the panel.
// Where two tabs hang from one edge, to be glued either way, they take turns:
// each has its share of the edge (common practice).
func (m *maker) shareOfEdge(b *baseFold, all []baseFold) (from, to float64) {
	shape := m.a.Panels[b.panel.Panel].Shape
	from, to = edgeOn(b.panel.Origin, b.panel.Along, b.length, shape[outerContour(shape)])
	mine, sharing := 0, 0
	for i := range all {
		if all[i].index == b.index {
			mine = sharing
		}
		if all[i].panel.Panel == b.panel.Panel && all[i].panel.Origin == b.panel.Origin && all[i].panel.Along == b.panel.Along {
			sharing++
		}
	}
	if sharing > 1 {
		share := (to - from + tabGap) / float64(sharing)
		from += share * float64(mine)
		to = from + share - tabGap
	}
	return from, to
}

// path is the tab's shape in a part, anticlockwise.
func (t *tab) path(f *tabFrame, place geom.Placement) geom.Path {
	points := make([]geom.Vec2, len(t.polygon))
	for i, p := range t.polygon {
		points[i] = place.Apply(f.at(p))
	}
	path := geom.PolylinePath(points, true)
	if path.Area() < 0 {
		path = path.Reverse()
	}
	return path
}

// joinTab adds the tab to the outline of its part.
func (m *maker) joinTab(part, panel int, t *tab, f *tabFrame) {
	outline := m.Parts[part].Outline
	place := m.place[panel]
	from, to := place.Apply(f.at(geom.Vec2{X: t.from})), place.Apply(f.at(geom.Vec2{X: t.to}))
	outline[0] = weld(outline[0], t.path(f, place)[0], from, to)
}

// addSlot cuts a slot for a tab along a line of the host: as wide as the layers
// that pass it, which are two where wings are folded in, and as long as its neck.
func (m *maker) addSlot(hostPart, host int, joint *Joint, f *tabFrame, from, to float64) geom.Path {
	end := m.o.SlotLengthClearance / 2
	layers := 1.0
	if joint.Shoulder > 0 {
		layers = 2
	}
	half := (layers*m.a.Design.Paper.Caliper + m.o.SlotGapClearance) / 2
	var corners []geom.Vec2
	for _, p := range []geom.Vec2{{X: from - end, Y: -half}, {X: to + end, Y: -half}, {X: to + end, Y: half}, {X: from - end, Y: half}} {
		corners = append(corners, m.place[host].Apply(f.at(p)))
	}
	path := geom.PolylinePath(corners, true)
	if path.Area() < 0 {
		path = path.Reverse()
	}
	m.Parts[hostPart].Slots = append(m.Parts[hostPart].Slots, Slot{joint.Label, joint.ID, path})
	return path
}

func (m *maker) addGlue(part int, g GlueArea, along geom.Vec2) {
	m.Parts[part].Glue = append(m.Parts[part].Glue, g)
	m.requests[part] = append(m.requests[part], labelRequest{len(m.Parts[part].Glue) - 1, along})
}
