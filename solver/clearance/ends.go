package clearance

import (
	"fmt"
	"math"

	"foldwright/solver/design"
	"foldwright/solver/finding"
)

// checkEnds looks at boxes whose end walls fold in. Shut, each reaches into the
// box by the width of its halves, √(a1·a2) with a1, a2 the offsets.
func (x *exam) checkEnds() {
	for i := range x.d.Mechanisms {
		box, ok := x.d.Mechanisms[i].Spec.(*design.Box)
		if !ok || box.Ends == design.FoldOut || !x.includes(i) {
			continue
		}
		left, right := box.Offsets()
		over := 2*math.Sqrt(left*right) - (box.To - box.From)
		if over <= flatTolerance*x.d.Size() {
			continue
		}
		amount := x.length(over)
		x.add(finding.Finding{
			Code: finding.EndsMeet, Severity: finding.Error, Mechanism: i,
			Message: fmt.Sprintf("The end walls of %s meet inside the box before it is shut: they overlap by %s.",
				x.d.Mechanisms[i].ID, amount),
			Amount: amount,
			Where:  finding.Where{Panels: x.panelIDs(i)},
		})
	}
}
