package clearance

import (
	"fmt"
	"foldwright/solver/finding"
	"math"
	"slices"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

const (
	// flatTolerance is the fraction of the model below which a vertex counts
	// as in the plane of the shut page. Sides that differ by the rounding of
	// their decimals leave far less; a cutter's step is a hundred times more.
	flatTolerance = 1e-6
	// paperGives is the distance out of plane, in mm, that paper takes up
	// without harm: the repeatability of a cutter (common practice).
	paperGives = 0.1
)

// checkShut looks at the spread with the pages shut, where everything should
// lie in the plane x = 0.
func (x *exam) checkShut() {
	x.poseAt(0)
	standsOut := make([]float64, len(x.d.Mechanisms)) // largest |x| of its panels
	place := make([]geom.Vec3, len(x.d.Mechanisms))
	edges := make([]overhang, len(x.d.Mechanisms))
	for i := range edges {
		edges[i].worst = math.Inf(-1)
	}
	for i := range x.Panels {
		m := x.Panels[i].Mechanism
		if m == kinematics.Spread || !x.pose.Has(i) {
			continue
		}
		frame := &x.pose.Panels[i]
		for _, v := range x.Panels[i].Outline {
			p := frame.At(v)
			if out := math.Abs(p.X); out > standsOut[m] {
				standsOut[m], place[m] = out, p
			}
			edges[m].take(x.d.Spread, p, x.Panels[i].ID)
		}
	}
	tolerance := flatTolerance * x.d.Size()
	for i := range x.d.Mechanisms {
		if !x.includes(i) || x.pose.Reach[i] != kinematics.Reached {
			continue
		}
		if standsOut[i] > tolerance {
			// Only the first in a chain to leave the plane is at fault.
			if !slices.ContainsFunc(x.d.HostsOf(i), func(host int) bool { return standsOut[host] > tolerance }) {
				x.addNotFlat(i, standsOut[i], place[i])
			}
			continue
		}
		x.ShutJudged[i] = true
		x.checkEdges(i, &edges[i])
	}
}

func (x *exam) addNotFlat(i int, out float64, place geom.Vec3) {
	m := &x.d.Mechanisms[i]
	amount, severity := x.mismatch(i), finding.Error
	message := fmt.Sprintf("%s does not lie flat when shut: its two sides differ by %s and it stands out by %s.",
		m.ID, amount, x.length(out))
	if amount.Value == 0 {
		amount = x.length(out)
		message = fmt.Sprintf("%s stands out of the shut page by %s.", m.ID, amount)
		if len(x.d.HostsOf(i)) > 0 {
			message = fmt.Sprintf("%s stands out of the shut page by %s: what it stands on is not closed when the pages are.",
				m.ID, amount)
		}
	}
	if out <= paperGives || amount.Value > 0 && Arc(x.d, i, amount) <= paperGives {
		severity = finding.Note
	}
	x.add(finding.Finding{
		Code: finding.NotFlatWhenShut, Severity: severity, Mechanism: i,
		Message: message,
		Amount:  amount,
		Where:   finding.Where{Panels: x.panelIDs(i), Point: place, HasPoint: true},
	})
}
