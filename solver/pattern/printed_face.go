package pattern

import (
	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// baseFold is a glued fold sorted into its host and the panel standing on it,
// which has the tab. Most are base folds; the others join panels of a mechanism
// that is not one sheet.
type baseFold struct {
	index       int
	host, panel *kinematics.Face
	hostLeft    bool
	length      float64
	// joint is how it is glued: as the mechanism's base lines, but for what the
	// place does not allow.
	joint design.Joint
}

func (m *maker) baseFold(index int) baseFold {
	f := &m.a.Folds[index]
	b := baseFold{index: index, host: &f.Left, panel: &f.Right, hostLeft: true, length: f.Length}
	if f.Left.Panel != f.Panels[0] {
		b.host, b.panel, b.hostLeft = &f.Right, &f.Left, false
	}
	b.joint = m.jointOf(f.Mechanism)
	if f.Role != kinematics.BaseFold {
		b.joint.Fix = design.Surface
	}
	if !m.hostBeside(&b, b.joint.TabSide) && m.hostBeside(&b, otherSide(b.joint.TabSide)) {
		// The line is an edge of the host: the tab goes where paper is.
		b.joint.TabSide, b.joint.Fix = otherSide(b.joint.TabSide), design.Surface
	}
	return b
}

// jointOf is how the base lines of a mechanism are glued.
func (m *maker) jointOf(mechanism int) design.Joint {
	if j := m.a.Design.Mechanisms[mechanism].Joint; j.TabDepth > 0 {
		return j
	}
	return defaultJoint
}

// defaultJoint is for mechanisms whose design says nothing of joints. Common
// practice: tabs 8 to 15 mm deep, ends tapered 30 to 45 degrees.
var defaultJoint = design.Joint{
	Fix: design.Surface, TabSide: design.Inner, TabDepth: 10, TabTaper: geom.Degrees(35), Relief: design.NoRelief, Glued: true,
}

func otherSide(s design.Side) design.Side {
	if s == design.Inner {
		return design.Outer
	}
	return design.Inner
}

// hostBeside tells whether the host has paper on that side of the middle of the
// base line.
func (m *maker) hostBeside(b *baseFold, side design.Side) bool {
	f := b.onHost(side)
	return geom.PolygonContains(m.a.Panels[b.host.Panel].Outline, f.at(geom.Vec2{X: b.length / 2, Y: creaseClearance}))
}

// hostOnBack tells whether the face of the host that a mechanism stands on is
// the reverse of the one its part shows.
func (m *maker) hostOnBack(b *baseFold) bool {
	return kinematics.WorkingSide(b.host, b.hostLeft) != m.visible(b.host.Panel)
}

// bend tells whether a tab folds towards the side its part shows. A tab that
// goes outwards lies on the working side of its fold, one that goes under lies
// on the other, unless the fold is folded past flat.
func (m *maker) bend(b *baseFold) CreaseKind {
	if m.tabUp(b) != m.turns[b.index].back {
		return Valley
	}
	return Mountain
}

// tabUp tells whether a tab lies on the side of its fold that its part shows,
// of a fold that is not folded past flat.
func (m *maker) tabUp(b *baseFold) bool {
	return (b.joint.TabSide == design.Outer) == (kinematics.WorkingSide(b.panel, !b.hostLeft) == m.visible(b.panel.Panel))
}

// tabOnBack tells which face of a tab is glued. A tab glued to the face the
// mechanism stands on touches it with the face it does not fold towards; a tab
// behind the host touches that with its other face. Past flat the tab stays on
// that face of the host.
func (m *maker) tabOnBack(b *baseFold) bool {
	return m.tabUp(b) != (b.joint.Fix == design.Slotted)
}
