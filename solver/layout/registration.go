package layout

import (
	"math"

	"foldwright/solver/geom"
)

// Mark is a registration mark: a cross of two lines through At, printed with
// the artwork and found again by the cutter or by eye.
type Mark struct {
	Name string
	At   geom.Vec2
	Arm  float64 // from the middle to each end
}

// Lines are the two strokes of the cross.
func (m Mark) Lines() [2][2]geom.Vec2 {
	x, y := geom.Vec2{X: m.Arm}, geom.Vec2{Y: m.Arm}
	return [2][2]geom.Vec2{{m.At.Sub(x), m.At.Add(x)}, {m.At.Sub(y), m.At.Add(y)}}
}

// Box is the square the cross fills, for Sheet.KeepOut.
func (m Mark) Box() geom.Box2 {
	d := geom.Vec2{X: m.Arm, Y: m.Arm}
	return geom.Box2{Min: m.At.Sub(d), Max: m.At.Add(d)}
}

// Marks puts crosses at three corners of a sheet: lower left, lower right and
// upper left, with the middle inset from both edges. Three that are not in line
// fix shift, turn and the stretch of the print along both edges; the corner
// left out tells which way round the sheet lies. It gives none when the sheet
// is too small for crosses apart from each other.
func Marks(s *Sheet, inset, arm float64) []Mark {
	if !(arm > 0) || !(inset >= arm) || !(math.Min(s.Width, s.Height) > 2*(inset+arm)) {
		return nil
	}
	return []Mark{
		{"A", geom.Vec2{X: inset, Y: inset}, arm},
		{"B", geom.Vec2{X: s.Width - inset, Y: inset}, arm},
		{"C", geom.Vec2{X: inset, Y: s.Height - inset}, arm},
	}
}
