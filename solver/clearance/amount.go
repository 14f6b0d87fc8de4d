package clearance

import (
	"math"
	"strconv"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// String writes the amount as people read it.
func (a Amount) String() string {
	if a.Unit == "deg" {
		return decimals(a.Value, 2) + "°"
	}
	places := 2
	if a.Unit == string(design.Inches) {
		places = 3
	}
	return decimals(a.Value, places) + " " + a.Unit
}

// decimals writes v to the given places, or to one digit when that is zero.
func decimals(v float64, places int) string {
	scale := math.Pow10(places)
	if r := math.Round(v*scale) / scale; r != 0 || v == 0 {
		return strconv.FormatFloat(r, 'f', -1, 64)
	}
	return strconv.FormatFloat(v, 'g', 1, 64)
}

// mismatch is how far the two sides of mechanism i are from shutting flat: by
// how much their panels differ more, or less, than their base lines do.
func (x *exam) mismatch(i int) Amount {
	switch spec := x.d.Mechanisms[i].Spec.(type) {
	case *design.VFold:
		l, r := spec.Sides()
		return Amount{misfit((l.BaseAngle - r.BaseAngle).Degrees(), (l.PanelAngle - r.PanelAngle).Degrees()), "deg"}
	case *design.ParallelFold:
		l, r := spec.Sides()
		return x.lengthAmount(misfit(l.BaseOffset-r.BaseOffset, l.PanelWidth-r.PanelWidth))
	default:
		return x.lengthAmount(0)
	}
}

func misfit(base, panel float64) float64 { return math.Abs(math.Abs(base) - math.Abs(panel)) }

// arc is a mismatch as a length in mm: an angle is measured at the far end of
// the mechanism's longest side.
func (x *exam) arc(i int, a Amount) float64 {
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
