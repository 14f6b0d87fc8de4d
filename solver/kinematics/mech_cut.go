package kinematics

import "foldwright/solver/design"

// compileCutStep makes a step cut from its host. It moves as the strap of the
// same offsets, which lies in the sheet when the host fold is flat: there the
// left panel reaches from a1 on the left face to a2 - a1 past the fold, the
// right one from there to a2.
func compileCutStep(c *compiler, i int, m *design.Mechanism, spec *design.CutStep) poser {
	return compileStrap(c, i, m, &spec.Strap)
}

// compileCutV makes a V cut from its host: the V-fold with b1 = a2 and b2 = a1 in
// the notation of vFold. Then a1+b1 = a2+b2, so it shuts flat, and a1+a2 =
// b1+b2, so it lies in the sheet when the host fold is flat.
func compileCutV(c *compiler, i int, m *design.Mechanism, spec *design.CutV) poser {
	left, right := spec.Sides()
	return newVFold(c, i, m, vShape{at: spec.At, ridgeLength: spec.RidgeLength, lean: 1}, left, right)
}
