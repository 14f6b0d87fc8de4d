package kinematics

import (
	"fmt"

	"foldwright/solver/design"
)

// compileKind makes the poser of mechanism i and adds its panels and folds.
func compileKind(c *compiler, i int, m *design.Mechanism) poser {
	switch spec := m.Spec.(type) {
	case *design.VFold:
		return compileVFold(c, i, m, spec)
	case *design.ParallelFold:
		return compileParallelFold(c, i, m, spec)
	case *design.Strap:
		return compileStrap(c, i, m, spec)
	case *design.CutStep:
		return compileCutStep(c, i, m, spec)
	case *design.CutV:
		return compileCutV(c, i, m, spec)
	case *design.Figure:
		return compileFigure(c, i, m, spec)
	default:
		panic(fmt.Sprintf("kinematics: no poser for kind %s", m.Kind))
	}
}
