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
		if f := &m.a.Folds[i]; f.Role == kinematics.BaseFold && !m.oneSheet(f.Mechanism) {
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
		for k, fold := range folds[i] {
			b := m.baseFold(fold)
			var sibling *baseFold
			if len(folds[i]) == 2 {
				s := m.baseFold(folds[i][1-k])
				sibling = &s
			}
			m.addBaseJoint(i, &b, sibling)
		}
		if spec, ok := m.a.Design.Mechanisms[i].Spec.(*design.Figure); ok && figures[i] != 0 {
			m.addFigureJoint(i, figures[i], spec)
		}
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

// addBaseJoint makes the tab along one base line.
func (m *maker) addBaseJoint(mechanism int, b, sibling *baseFold) {
	spec := &m.a.Design.Mechanisms[mechanism].Joint
	limits := m.hostLimits(b, spec)
	if sibling != nil {
		if h, ok := m.siblingLimit(b, sibling); ok {
			limits = append(limits, h)
		}
	}
	t, ok := m.fitTab(b, spec, limits)
	if !ok {
		m.report(CodeNoTab, mechanism, "joint",
			fmt.Sprintf("%s has no room for a tab between the edges and creases of %s", m.a.Folds[b.index].ID, m.a.Panels[b.host.Panel].ID))
		return
	}
	panel, host := b.panel.Panel, b.host.Panel
	part, hostPart := m.partOf[panel], m.partOf[host]
	joint := m.newJoint(mechanism, m.a.Folds[b.index].ID, part, hostPart)
	joint.Slotted = spec.Fix == design.Slotted
	joint.Length, joint.Depth, joint.Wanted = t.length(), t.depth(), spec.TabDepth

	onPanel, onHost := b.onPanel(), b.onHost(spec.TabSide)
	m.joinTab(part, panel, &t, &onPanel)
	m.addCrease(part, b, &t, spec.TabSide)
	along := m.place[panel].Dir(onPanel.along)
	m.addGlue(part, GlueArea{
		Label: joint.Label, Joint: joint.ID, Part: joint.Host,
		Path: t.path(&onPanel, m.place[panel]), OnBack: tabOnBack(spec),
	}, along)

	if joint.Slotted {
		m.addSlot(hostPart, host, joint, &onHost, t.from, t.to)
	}
	m.addGlue(hostPart, GlueArea{
		Label: joint.Label, Joint: joint.ID, Part: joint.Part,
		Path:   t.path(&onHost, m.place[host]),
		OnBack: m.hostOnBack(b) != joint.Slotted,
	}, m.place[host].Dir(onHost.along))
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

// addSlot cuts a slot for one layer of the part along a line of the host.
func (m *maker) addSlot(hostPart, host int, joint *Joint, f *tabFrame, from, to float64) geom.Path {
	end := m.o.SlotLengthClearance / 2
	half := (m.a.Design.Paper.Caliper + m.o.SlotGapClearance) / 2
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
