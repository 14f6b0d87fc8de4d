package fit

import (
	"math"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// number is a number of the document that changes, in mm or radians.
type number struct {
	design.Number               // of the design as it is
	work          design.Number // of the design whose numbers are set
	per           float64       // what one unit of the document is inside
	start         float64
	lo, hi        float64
	step          float64
	// given is whether the task narrows the bounds; tied, whether it follows.
	given, tied bool
	scale       float64
}

// A change of one scale counts as much whatever the number: changes that a paper
// engineer would call as great (common practice).
const lengthScale = 10.0 // mm

var angleScale = float64(geom.Degrees(10))

func newNumber(d *design.Design, n design.Number) number {
	out := number{Number: n, per: d.Units.PerUnit(), scale: lengthScale}
	if n.Angle {
		out.per, out.scale = float64(geom.Degrees(1)), angleScale
	}
	lo, hi := n.Range(d)
	out.start, out.lo, out.hi = n.Get()*out.per, lo*out.per, hi*out.per
	return out
}

// decimals is how finely numbers are written to a document: a nanometre, or a
// millionth of a degree. It takes off what binary arithmetic leaves of sums of
// decimals.
const decimals = 1e6

// shown is a value as it is written.
func (n *number) shown(v float64) float64 { return math.Round(v/n.per*decimals) / decimals }

// onGrid tells whether a written value is a multiple of the step.
func (n *number) onGrid(shown float64) bool {
	if n.step == 0 {
		return true
	}
	steps := shown * n.per / n.step
	return math.Abs(steps-math.Round(steps)) < 1e-6
}
