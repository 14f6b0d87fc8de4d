package check

import (
	"slices"

	"foldwright/solver/finding"
)

// hides tells whether one finding says of the same mechanism what another does
// better, or is why the other is there.
func hides(f, g *finding.Finding) bool {
	if f.Mechanism != g.Mechanism {
		return false
	}
	switch g.Code {
	case finding.FoldsBothWays: // sides that do not match turn a base line round its host
		return f.Code == finding.CannotShut || f.Code == finding.NotFlatWhenShut
	case finding.NearSingular: // which of an arm is told with the length that is left
		return f.Code == finding.LocksInStroke
	}
	return false
}

// dropHidden takes out what other findings say already.
func (x *exam) dropHidden() {
	all := slices.Clone(x.findings)
	x.findings = slices.DeleteFunc(x.findings, func(g finding.Finding) bool {
		return slices.ContainsFunc(all, func(f finding.Finding) bool { return hides(&f, &g) })
	})
}
