package check

import (
	"slices"

	"foldwright/solver/collide"
	"foldwright/solver/finding"
	"foldwright/solver/kinematics"
	"foldwright/solver/stack"
)

// Report is what is known of a design.
type Report struct {
	Findings []finding.Finding
	// Swept is how far it is proved that pieces clear each other; nil when it was
	// told to stop before that was looked at.
	Swept *collide.Result
	// Shut is the shut page; nil when it was told to stop before that was judged.
	Shut *stack.Result
}

// Design judges the whole design and seeks a remedy for each finding.
func Design(a *kinematics.Assembly) []finding.Finding {
	return Judge(a, stack.Options{}).Findings
}

// Findings judges the whole design without seeking remedies.
func Findings(a *kinematics.Assembly, stop func() bool) []finding.Finding {
	s := everything
	s.shut.Stop = stop
	x := examine(a, nil, s)
	for i := range x.findings {
		x.findings[i].Pointer = pointerOf(&x.findings[i])
	}
	return x.findings
}

// Judge is Design with how far it is proved that pieces clear each other, and
// with the shut page, looked at as shut says. Once its stop returns true no more
// remedies are sought, and the findings that remain go without.
func Judge(a *kinematics.Assembly, shut stack.Options) *Report {
	if shut.Stop == nil {
		shut.Stop = func() bool { return false }
	}
	s := everything
	s.shut = shut
	x := examine(a, nil, s)
	x.placeFlat()
	motion, layers := &effort{left: allEffort, stop: shut.Stop}, &effort{left: allEffort, stop: shut.Stop}
	for _, i := range byUrgency(x.findings) { // the dearer ones with what is left
		x.seekRemedy(&x.findings[i], motion, layers)
	}
	return &Report{x.findings, x.swept, x.shut}
}

// byUrgency is the order in which remedies are sought: how it moves before how it
// lies when shut, and that before how it is made, since a change of the one changes
// the next; and what does not work before what is a risk.
func byUrgency(list []finding.Finding) []int {
	order := make([]int, len(list))
	urgency := func(f *finding.Finding) int {
		severities := []finding.Severity{finding.Error, finding.Warning, finding.Note}
		u := slices.Index(severities, f.Severity)
		switch {
		case f.Code.OfParts():
			u += 2 * len(severities)
		case ofLayers(f.Code), ofSweep(f.Code):
			u += len(severities)
		}
		return u
	}
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, k int) int { return urgency(&list[i]) - urgency(&list[k]) })
	return order
}
