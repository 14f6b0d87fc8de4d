package clearance

import (
	"math"

	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/geom"
)

// mismatch is how far the two sides of mechanism i are from shutting flat: by
// how much their panels differ more, or less, than their base lines do.
func (x *exam) mismatch(i int) finding.Amount {
	switch spec := x.d.Mechanisms[i].Spec.(type) {
	case *design.VFold:
		l, r := spec.Sides()
		return finding.Amount{Value: misfit((l.BaseAngle - r.BaseAngle).Degrees(), (l.PanelAngle - r.PanelAngle).Degrees()), Unit: "deg"}
	case *design.ParallelFold:
		l, r := spec.Sides()
		return x.length(misfit(l.BaseOffset-r.BaseOffset, l.PanelWidth-r.PanelWidth))
	default:
		return x.length(0)
	}
}

func misfit(base, panel float64) float64 { return math.Abs(math.Abs(base) - math.Abs(panel)) }

// arc is a mismatch as a length in mm: an angle is measured at the far end of
// the mechanism's longest side.
func (x *exam) arc(i int, a finding.Amount) float64 {
	if a.Unit != "deg" {
		return a.Value * x.d.Units.PerUnit()
	}
	reach := 0.0
	if v, ok := x.d.Mechanisms[i].Spec.(*design.VFold); ok {
		l, r := v.Sides()
		reach = max(l.BaseLength, r.BaseLength, v.RidgeLength)
	}
	if reach == 0 {
		return math.Inf(1)
	}
	return float64(geom.Degrees(a.Value)) * reach
}
