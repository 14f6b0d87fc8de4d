package clearance

import (
	"fmt"
	"math"

	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// checkStrips looks at what is drawn by strips from page to page.
func (x *exam) checkStrips() {
	for i := range x.Strips {
		s := &x.Strips[i]
		tent, ok := x.d.Mechanisms[s.Mechanism].Spec.(*design.SlideTent)
		if !ok || !x.includes(s.Mechanism) {
			continue
		}
		x.checkTravel(s, tent)
		x.checkAnchor(s)
		x.checkStripPath(s, tent)
	}
}

// checkTravel holds the travel asked for against what the strip draws.
func (x *exam) checkTravel(s *kinematics.Strip, tent *design.SlideTent) {
	missing := tent.Travel - s.Most
	if missing <= flatTolerance*x.d.Size() {
		return
	}
	m := &x.d.Mechanisms[s.Mechanism]
	amount := x.length(missing)
	x.add(finding.Finding{
		Code: finding.TravelNotReached, Severity: finding.Error, Mechanism: s.Mechanism,
		Message: fmt.Sprintf("%s is drawn %s even when the pages are flat open, %s short of the travel asked for: "+
			"a guided strip draws at most twice the fixed offset.", m.ID, x.length(s.Most), amount),
		At:     finding.Interval{From: x.d.Spread.OpensTo, To: x.d.Spread.OpensTo},
		Amount: amount, Where: finding.Where{Panels: x.panelIDs(s.Mechanism)},
	})
}

// checkAnchor looks whether the end of the strip can be glued to its page.
func (x *exam) checkAnchor(s *kinematics.Strip) {
	m := &x.d.Mechanisms[s.Mechanism]
	o := overhang{worst: math.Inf(-1)}
	panel := x.Panels[s.Anchor.Panel].ID
	for _, along := range []float64{-s.Width / 2, s.Width / 2} {
		for _, away := range []float64{0, m.Joint.TabDepth} {
			p := s.Anchor.Origin.Add(s.Anchor.Along.Mul(along)).Add(s.Anchor.Away.Mul(away))
			o.take(x.d.Spread, geom.Vec3{Y: p.X, Z: p.Y}, panel)
		}
	}
	if o.worst <= flatTolerance*x.d.Size() {
		return
	}
	amount := x.length(o.worst)
	x.add(finding.Finding{
		Code: finding.AnchorOffPage, Severity: finding.Error, Mechanism: s.Mechanism,
		Message: fmt.Sprintf("The strip of %s is anchored %s past the %s of the page.", m.ID, amount, o.edge),
		Amount:  amount,
		Where:   finding.Where{Panels: []string{panel}, Point: o.point, HasPoint: true},
	})
}

// checkStripPath looks whether an unguided strip stays under the tent.
func (x *exam) checkStripPath(s *kinematics.Strip, tent *design.SlideTent) {
	over := s.Gap.Rise - tent.NearWidth
	if over <= flatTolerance*x.d.Size() {
		return
	}
	m := &x.d.Mechanisms[s.Mechanism]
	amount := x.length(over)
	x.add(finding.Finding{
		Code: finding.StripCollides, Severity: finding.Error, Mechanism: s.Mechanism,
		Message: fmt.Sprintf("The strip of %s rises steeper than the tent and passes over its ridge by %s.", m.ID, amount),
		At:      finding.Interval{From: 0, To: x.d.Spread.OpensTo},
		Amount:  amount, Where: finding.Where{Panels: x.panelIDs(s.Mechanism)},
	})
}
