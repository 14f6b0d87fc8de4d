package pattern

import (
	"foldwright/solver/design"
	"foldwright/solver/kinematics"
)

// workingSide tells which side of its panel a face of a fold is worked on: +1
// on the side u×v points to, -1 on the other, as in Panel.Printed.
//
// Seen along a fold with the working side up, the left face lies to the left,
// so there the turn from Along to Away is anticlockwise as seen from the
// working side; on the right face it is clockwise.
func workingSide(f *kinematics.Face, left bool) float64 {
	turn := 1.0
	if f.Along.Cross(f.Away) < 0 {
		turn = -1
	}
	if left {
		return turn
	}
	return -turn
}

// baseFold is a base fold sorted into its host and the panel standing on it.
type baseFold struct {
	index       int
	host, panel *kinematics.Face
	hostLeft    bool
	length      float64
}

func (m *maker) baseFold(index int) baseFold {
	f := &m.a.Folds[index]
	b := baseFold{index: index, host: &f.Left, panel: &f.Right, hostLeft: true, length: f.Length}
	if f.Left.Panel != f.Panels[0] {
		b.host, b.panel, b.hostLeft = &f.Right, &f.Left, false
	}
	return b
}

// hostOnBack tells whether the face of the host that a mechanism stands on is
// the reverse of the one its part shows.
func (m *maker) hostOnBack(b *baseFold) bool {
	return workingSide(b.host, b.hostLeft) != m.visible(b.host.Panel)
}

// tabOnBack tells which face of a base tab is glued. A tab glued to the face
// the mechanism stands on touches it with its printed face when it is folded
// under, with its reverse when it is folded outwards; a tab behind the host
// touches that with its other face.
func tabOnBack(j *design.Joint) bool {
	return (j.TabSide == design.Outer) != (j.Fix == design.Slotted)
}
