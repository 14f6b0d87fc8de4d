package check

import (
	"foldwright/solver/finding"
	"foldwright/solver/kinematics"
	"foldwright/solver/stack"
)

// Report is what is known of a design.
type Report struct {
	Findings []finding.Finding
	// Shut is the shut page; nil when it was told to stop before that was judged.
	Shut *stack.Result
}

// Design judges the whole design and seeks a remedy for each finding.
func Design(a *kinematics.Assembly) []finding.Finding {
	return DesignUntil(a, func() bool { return false })
}

// DesignUntil is Design with a stop: once it returns true the shut page is not
// judged, no more remedies are sought, and the findings that remain go without.
func DesignUntil(a *kinematics.Assembly, stop func() bool) []finding.Finding {
	return Judge(a, stack.Options{Stop: stop}).Findings
}

// Judge is Design with the shut page, looked at as shut says. Once its stop
// returns true no more remedies are sought, and the findings that remain go
// without.
func Judge(a *kinematics.Assembly, shut stack.Options) *Report {
	s := everything
	s.shut = shut
	x := examine(a, nil, s)
	motion, layers := &effort{left: allEffort, stop: shut.Stop}, &effort{left: allEffort, stop: shut.Stop}
	for _, ofLayer := range [2]bool{false, true} { // the dearer ones with what is left
		for i := range x.findings {
			if f := &x.findings[i]; ofLayers(f.Code) == ofLayer {
				x.seekRemedy(f, motion, layers)
			}
		}
	}
	return &Report{x.findings, x.shut}
}
