package check

import (
	"foldwright/solver/finding"
	"foldwright/solver/kinematics"
)

// Design judges the whole design and seeks a remedy for each finding.
func Design(a *kinematics.Assembly) []finding.Finding {
	return DesignUntil(a, func() bool { return false })
}

// DesignUntil is Design with a stop: once it returns true no more remedies are
// sought, and the findings that remain go without.
func DesignUntil(a *kinematics.Assembly, stop func() bool) []finding.Finding {
	x := examine(a, nil, everything)
	effort := &effort{left: allEffort, stop: stop}
	for i := range x.findings {
		x.seekRemedy(&x.findings[i], effort)
	}
	return x.findings
}
