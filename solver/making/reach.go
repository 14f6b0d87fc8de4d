package making

import (
	"fmt"

	"foldwright/solver/assemble"
	"foldwright/solver/finding"
)

// checkReach finds joints that no order of gluing reaches.
func (x *exam) checkReach() {
	plan := assemble.MakeUntil(x.a, x.p, x.halted)
	if x.stopped {
		return
	}
	for _, i := range plan.Unreachable {
		j := &x.p.Joints[i]
		x.add(finding.Finding{
			Code: finding.GlueOutOfReach, Severity: finding.Warning, Mechanism: j.Mechanism,
			Message: fmt.Sprintf("No finger gets to %s, where %s is glued to %s, in any order of gluing.", j.Label, j.Part, j.Host),
			Where:   x.tabPlace(j),
		})
	}
	for _, i := range plan.Undecided {
		j := &x.p.Joints[i]
		x.add(finding.Finding{
			Code: finding.GlueOutOfReach, Severity: finding.Note, Mechanism: j.Mechanism,
			Message: fmt.Sprintf("Whether %s can be reached, where %s is glued to %s, was not looked at to the end.", j.Label, j.Part, j.Host),
			Where:   x.tabPlace(j),
		})
	}
}
