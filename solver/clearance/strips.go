package clearance

import (
	"fmt"
	"math"

	"foldwright/solver/design"
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
	amount := x.lengthAmount(missing)
	x.add(Finding{
		Code: TravelNotReached, Severity: Error, mechanism: s.Mechanism,
		Message: fmt.Sprintf("%s is drawn %s even when the pages are flat open, %s short of the travel asked for: "+
			"a guided strip draws at most twice the fixed offset.", m.ID, x.lengthAmount(s.Most), amount),
		At:     Interval{x.d.Spread.OpensTo, x.d.Spread.OpensTo},
		Amount: amount, Where: Where{Panels: x.panelIDs(s.Mechanism)},
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
	amount := x.lengthAmount(o.worst)
	x.add(Finding{
		Code: AnchorOffPage, Severity: Error, mechanism: s.Mechanism,
		Message: fmt.Sprintf("the strip of %s is anchored %s past the %s of the page.", m.ID, amount, o.edge),
		Amount:  amount,
		Where:   Where{Panels: []string{panel}, Point: o.point, HasPoint: true},
	})
}

// checkStripPath looks whether an unguided strip stays under the tent.
func (x *exam) checkStripPath(s *kinematics.Strip, tent *design.SlideTent) {
	over := s.Gap.Rise - tent.NearWidth
	if over <= flatTolerance*x.d.Size() {
		return
	}
	m := &x.d.Mechanisms[s.Mechanism]
	amount := x.lengthAmount(over)
	x.add(Finding{
		Code: StripCollides, Severity: Error, mechanism: s.Mechanism,
		Message: fmt.Sprintf("the strip of %s rises steeper than the tent and passes over its ridge by %s.", m.ID, amount),
		At:      Interval{0, x.d.Spread.OpensTo},
		Amount:  amount, Where: Where{Panels: x.panelIDs(s.Mechanism)},
	})
}

func stripKnobs(d *design.Design, f *Finding) []knob {
	i := f.mechanism
	less := knob{turns: fields(i, -1, "travel"), verb: "Reduce"}
	switch f.Code {
	case TravelNotReached:
		return []knob{{turns: fields(i, 1, "fixed_offset"), verb: "Increase"}, less}
	case StripCollides:
		return []knob{{turns: fields(i, 1, "near_width"), verb: "Widen"}, less}
	}
	list := append([]knob{less}, moveKnobs(d, i)...)
	for _, names := range [][]string{{"page_width"}, {"page_height"}, {"page_width", "page_height"}} {
		list = append(list, knob{turns: spread(1, names...), verb: "Enlarge"})
	}
	return list
}
