package clearance

import (
	"fmt"
	"math"

	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/geom"
)

// overhang is how far one mechanism reaches past the page when shut.
type overhang struct {
	worst float64 // mm past the edge, negative inside
	edge  string
	spine bool
	point geom.Vec3
	panel string
}

// take measures one vertex of the shut spread. The page is convex, rounded
// corners and all, so the vertices of a panel tell for the whole panel.
func (o *overhang) take(s design.Spread, p geom.Vec3, panel string) {
	y, z := p.Y, p.Z
	consider := func(past float64, edge string, spine bool) {
		// Within the page the spine does not count: that is where
		// mechanisms belong.
		if past > o.worst && (!spine || past > 0) {
			*o = overhang{past, edge, spine, p, panel}
		}
	}
	consider(-y, "foot", false)
	consider(y-s.PageHeight, "head", false)
	consider(z-s.PageWidth, "fore edge", false)
	consider(-z, "spine", true)
	if r := s.CornerRadius; r > 0 && z > s.PageWidth-r {
		if dy := math.Max(r-y, y-(s.PageHeight-r)); dy > 0 {
			consider(math.Hypot(dy, z-(s.PageWidth-r))-r, "corner", false)
		}
	}
}

func (x *exam) checkEdges(i int, o *overhang) {
	m := &x.d.Mechanisms[i]
	tolerance := flatTolerance * x.d.Size()
	where := finding.Where{Panels: []string{o.panel}, Point: o.point, HasPoint: true}
	switch margin := x.d.Spread.Margin; {
	case o.worst > tolerance:
		amount := x.length(o.worst)
		x.add(finding.Finding{
			Code: finding.OutsidePageWhenShut, Severity: finding.Error, Mechanism: i,
			Message: fmt.Sprintf("%s reaches %s past the %s of the shut page.", m.ID, amount, o.edge),
			Amount:  amount, Where: where,
		})
	case o.worst > tolerance-margin && !o.spine:
		amount := x.length(o.worst + margin)
		x.add(finding.Finding{
			Code: finding.InsideMargin, Severity: finding.Warning, Mechanism: i,
			Message: fmt.Sprintf("%s comes within %s of the %s when shut, %s into the margin of %s.",
				m.ID, x.length(math.Max(0, -o.worst)), o.edge, amount, x.length(margin)),
			Amount: amount, Where: where,
		})
	}
}
