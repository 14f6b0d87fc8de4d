package view

import (
	"foldwright/solver/design"
	"foldwright/solver/kinematics"
)

// generations gives for every panel how many mechanisms it is away from the
// spread.
func generations(a *kinematics.Assembly) []int {
	byMechanism := make([]int, len(a.Design.Mechanisms))
	for _, i := range a.Design.Order() {
		byMechanism[i] = 1
		for _, host := range a.Design.HostsOf(i) {
			byMechanism[i] = max(byMechanism[i], byMechanism[host]+1)
		}
	}
	out := make([]int, len(a.Panels))
	for i := range a.Panels {
		if m := a.Panels[i].Mechanism; m != kinematics.Spread {
			out[i] = byMechanism[m]
		}
	}
	return out
}

// isFigure tells whether the panel is a figure's.
func isFigure(a *kinematics.Assembly, panel int) bool {
	m := a.Panels[panel].Mechanism
	if m == kinematics.Spread {
		return false
	}
	_, ok := a.Design.Mechanisms[m].Spec.(*design.Figure)
	return ok
}
