package kinematics

import "foldwright/solver/design"

// compileStrap makes a strap: the parallel fold whose cross-section is a
// parallelogram, p1 = a2 and p2 = a1 in the notation of parallelFold. Its panels
// stay parallel to the faces of the fold at every opening (opposite sides of a
// parallelogram), so it shuts flat and opens flat whatever the offsets. A host
// that opens beyond flat, the top of a ridge, takes it through the flat state
// into the crossed quadrilateral of the same sides.
func compileStrap(c *compiler, i int, m *design.Mechanism, spec *design.Strap) poser {
	left := design.ParallelSide{BaseOffset: spec.LeftOffset, PanelWidth: spec.RightOffset}
	right := design.ParallelSide{BaseOffset: spec.RightOffset, PanelWidth: spec.LeftOffset}
	return newParallelFold(c, i, m, spec.From, spec.To, left, right)
}
