package clearance

import (
	"math"

	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/geom"
)

// Mismatch is how far the two sides of mechanism i are from shutting flat: by
// how much their panels differ more, or less, than their base lines do. ok is
// false for kinds without two sides to match.
func Mismatch(d *design.Design, i int) (amount finding.Amount, ok bool) {
	switch spec := d.Mechanisms[i].Spec.(type) {
	case *design.VFold:
		l, r := spec.Sides()
		return finding.Amount{Value: misfit((l.BaseAngle - r.BaseAngle).Degrees(), (l.PanelAngle - r.PanelAngle).Degrees()), Unit: "deg"}, true
	case *design.ParallelFold:
		l, r := spec.Sides()
		return finding.Length(d, misfit(l.BaseOffset-r.BaseOffset, l.PanelWidth-r.PanelWidth)), true
	default:
		return finding.Length(d, 0), false
	}
}

func misfit(base, panel float64) float64 { return math.Abs(math.Abs(base) - math.Abs(panel)) }

// Arc is a mismatch of mechanism i as a length in mm: an angle is measured at the
// far end of its longest side.
func Arc(d *design.Design, i int, a finding.Amount) float64 {
	if a.Unit != "deg" {
		return a.Value * d.Units.PerUnit()
	}
	reach := 0.0
	if v, ok := d.Mechanisms[i].Spec.(*design.VFold); ok {
		l, r := v.Sides()
		reach = max(l.BaseLength, r.BaseLength, v.RidgeLength)
	}
	if reach == 0 {
		return math.Inf(1)
	}
	return float64(geom.Degrees(a.Value)) * reach
}

func (x *exam) mismatch(i int) finding.Amount {
	amount, _ := Mismatch(x.d, i)
	return amount
}
