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
	case *design.Flap:
		return compileFlap(c, i, m, spec)
	case *design.PullTab:
		return compilePullTab(c, i, m, spec)
	case *design.Wheel:
		return compileWheel(c, i, m, spec)
	case *design.PivotArm:
		return compilePivotArm(c, i, m, spec)
	case *design.FloatingLayer:
		return compileFloatingLayer(c, i, m, spec)
	case *design.SlideTent:
		return compileSlideTent(c, i, m, spec)
	case *design.Box:
		return compileBox(c, i, m, spec)
	case *design.Linkage:
		return compileLinkage(c, i, m, spec)
	case *design.Figure:
		return compileFigure(c, i, m, spec)
	default:
		panic(fmt.Sprintf("kinematics: no poser for kind %s", m.Kind))
	}
}
