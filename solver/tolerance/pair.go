package tolerance

import (
	"math"
	"slices"

	"foldwright/solver/check"
	"foldwright/solver/clearance"
	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/kinematics"
	"foldwright/solver/measure"
)

// pair is the two sides of a mechanism, which must match when the book is shut:
// the panels may differ by what the base lines do. Sides that are longer by the
// same in both match only by turning through the page, so the sign counts.
type pair struct {
	d         *design.Design
	mechanism int
	base      [2]design.Number
	panel     [2]design.Number
	sign      float64
}

// pairsOf lists the pairs of a design that is written out.
func pairsOf(d *design.Design) []pair {
	var list []pair
	for i := range d.Mechanisms {
		var base, panel string
		switch d.Mechanisms[i].Spec.(type) {
		case *design.VFold:
			base, panel = "base_angle", "panel_angle"
		case *design.ParallelFold:
			base, panel = "base_offset", "panel_width"
		default:
			continue
		}
		p := pair{d: d, mechanism: i, sign: check.Outward(&d.Mechanisms[i])}
		for k, side := range []string{"left/", "right/"} {
			p.base[k], _ = d.Number(design.Point(i, side+base))
			p.panel[k], _ = d.Number(design.Point(i, side+panel))
		}
		// A design drawn to match the other way is meant so.
		other := p
		other.sign = -p.sign
		if other.apart() < p.apart() {
			p = other
		}
		list = append(list, p)
	}
	return list
}

// off is by how much the left side is the longer, in the document's units or
// degrees.
func (p *pair) off() float64 {
	return p.base[0].Get() - p.base[1].Get() + p.sign*(p.panel[0].Get()-p.panel[1].Get())
}

// apart is how far the sides are from matching, mm.
func (p *pair) apart() float64 {
	return clearance.Arc(p.d, p.mechanism, finding.Amount{Value: math.Abs(p.off()), Unit: p.base[0].Unit()})
}

// press makes sides match that the paper lets: half of the difference is taken
// up by the left panel, half by the right. It tells by mechanism which shut: not
// those whose sides are further apart, nor what stands on them.
func press(d *design.Design, pairs []pair, give float64) (shuts []bool) {
	shuts = make([]bool, len(d.Mechanisms))
	for i := range shuts {
		shuts[i] = true
	}
	for k := range pairs {
		p := &pairs[k]
		if p.apart() > give {
			shuts[p.mechanism] = false
			continue
		}
		half := p.sign * p.off() / 2
		p.panel[0].Set(p.panel[0].Get() - half)
		p.panel[1].Set(p.panel[1].Get() + half)
	}
	for _, i := range d.Order() {
		for _, host := range d.HostsOf(i) {
			shuts[i] = shuts[i] && shuts[host]
		}
	}
	return shuts
}

// holds tells whether all that a measure is of shuts.
func holds(a *kinematics.Assembly, m *measure.Measure, shuts []bool) bool {
	list, all := m.Mechanisms(a)
	if all {
		return !slices.Contains(shuts, false)
	}
	return !slices.ContainsFunc(list, func(i int) bool { return !shuts[i] })
}
