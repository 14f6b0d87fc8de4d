package kinematics

// WorkingSide tells which side of its panel a face of a fold is worked on: +1
// on the side u × v points to, -1 on the other, as in Panel.Printed.
//
// Seen along a fold with the working side up, the left face lies to the left,
// so there the turn from Along to Away is anticlockwise as seen from the
// working side; on the right face it is clockwise.
func WorkingSide(f *Face, left bool) float64 {
	turn := 1.0
	if f.Along.Cross(f.Away) < 0 {
		turn = -1
	}
	if left {
		return turn
	}
	return -turn
}

// markPrinted notes the printed face of the panels a fold brings: the pages are
// printed on the side mechanisms stand on, a mechanism's panel on the side of
// its base fold that is outside the mechanism, which is the working side.
func (c *compiler) markPrinted(f *Fold) {
	for _, face := range [2]*Face{&f.Left, &f.Right} {
		if f.Role == GutterFold || f.Role == BaseFold && face.Panel == f.Panels[1] {
			c.Panels[face.Panel].Printed = WorkingSide(face, face == &f.Left)
		}
	}
}
