package view

import (
	"foldwright/solver/design"
	"foldwright/solver/kinematics"
)

// generations gives for every mechanism how many mechanisms it is away from the
// spread, itself counted.
func generations(a *kinematics.Assembly) []int {
	byMechanism := make([]int, len(a.Design.Mechanisms))
	for _, i := range a.Design.Order() {
		byMechanism[i] = 1
		for _, host := range a.Design.HostsOf(i) {
			byMechanism[i] = max(byMechanism[i], byMechanism[host]+1)
		}
	}
	return byMechanism
}

// generationOf is that of the mechanism of a face, 0 for pages.
func (s *scene) generationOf(f *face) int {
	if m := s.mechanism(f); m != kinematics.Spread {
		return s.generation[m]
	}
	return 0
}

// isFigure tells whether the panel is a piece of artwork fixed to another, or
// moved on it.
func isFigure(a *kinematics.Assembly, panel int) bool {
	m := a.Panels[panel].Mechanism
	if m == kinematics.Spread {
		return false
	}
	switch spec := a.Design.Mechanisms[m].Spec.(type) {
	case *design.Figure, *design.Wheel, *design.PivotArm, *design.Flap:
		return true
	case *design.PullTab:
		return spec.Moves == design.MovesSlide
	}
	return false
}
