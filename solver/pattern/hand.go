package pattern

import (
	"fmt"
	"math"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// What is worked by hand is made of its panel, which is a part with the id of
// the mechanism, and of parts that are no panels: "<id>.strip", "<id>.hub" and
// so on. Discs and strips lie behind their host, on the reverse of its printed
// face; the strip of a tent and all that shows lie in front.

// addHandParts makes the parts of a mechanism worked by hand. The last part made
// is that of its panel.
func (m *maker) addHandParts(mechanism int) {
	panel := len(m.Parts) - 1
	switch spec := m.a.Design.Mechanisms[mechanism].Spec.(type) {
	case *design.Wheel:
		m.addWheelParts(mechanism, panel, spec)
	case *design.PivotArm:
		m.addPivotArmParts(mechanism, panel, spec)
	case *design.PullTab:
		m.addPullTabParts(mechanism, panel, spec)
	}
}

// addHandJoints fixes the parts of a mechanism worked by hand and cuts what its
// host needs.
func (m *maker) addHandJoints(mechanism int) {
	switch spec := m.a.Design.Mechanisms[mechanism].Spec.(type) {
	case *design.Wheel:
		m.addWheelJoints(mechanism, spec)
	case *design.PivotArm:
		m.addPivotArmJoints(mechanism, spec)
	case *design.PullTab:
		m.addPullTabJoints(mechanism, spec)
	}
}

// onePiece drops what does not hang together in a part.
func (m *maker) onePiece(mechanism, part int, field string) {
	p := &m.Parts[part]
	if loose := p.dropPieces(); loose > 0 {
		m.report(CodePieces, mechanism, field,
			fmt.Sprintf("%s falls into %d pieces; only the largest is made", p.Name, loose+1))
	}
}

// note is a word for the maker, near a point of a part.
type note struct {
	part  int
	text  string
	at    geom.Vec2
	along geom.Vec2
}

// behindNote writes on the host what lies on its reverse, and where.
func (m *maker) behindNote(f *handFrame, at geom.Vec2) {
	in := m.inHost(f)
	text := Spaced(f.id)
	if m.onReverse(f.host, true) {
		text += onBackSuffix
	}
	m.notes = append(m.notes, note{m.partOf[f.host], text, in.Apply(at), in.Dir(geom.Vec2{X: 1})})
}

// tick is a line across a circle, from one radius to another in a direction.
func tick(from, to float64, angle geom.Angle) geom.Path {
	sin, cos := angle.Sincos()
	d := geom.Vec2{X: cos, Y: sin}
	return geom.PolylinePath([]geom.Vec2{d.Mul(from), d.Mul(to)}, false)
}

// aside tells how two directions of a part differ, in 0..π.
func aside(a, b geom.Angle) float64 { return math.Abs(math.Remainder(float64(a-b), 2*math.Pi)) }
