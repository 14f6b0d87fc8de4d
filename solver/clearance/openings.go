package clearance

import (
	"fmt"
	"foldwright/solver/finding"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// checkOpenings looks at what mechanisms cut from their hosts: each opening must
// lie within its panel and clear of the others in it.
func (x *exam) checkOpenings() {
	past := map[int]float64{} // by mechanism, read in the order of the design
	on := map[int]int{}
	for n := range x.Panels {
		panel := &x.Panels[n]
		rings := panel.Openings.Flatten(kinematics.OutlineTolerance)
		boxes := make([]geom.Box2, len(rings))
		for k, ring := range rings {
			boxes[k] = geom.PolylinePath(ring, true).Bounds()
		}
		for k, ring := range rings {
			i := panel.OpenedBy[k]
			if !x.includes(i) {
				continue
			}
			over := pastEdge(ring, panel.Outline)
			for other := range rings {
				if x.halted() {
					return
				}
				if panel.OpenedBy[other] != i && boxes[k].Overlaps(boxes[other]) {
					over = max(over, sharedDepth(ring, rings[other]))
				}
			}
			if over > past[i] {
				past[i], on[i] = over, n
			}
		}
	}
	tolerance := flatTolerance * x.d.Size()
	for i := range x.d.Mechanisms {
		if past[i] <= tolerance {
			continue
		}
		panel := x.Panels[on[i]].ID
		amount := x.length(past[i])
		x.add(finding.Finding{
			Code: finding.CutOffHost, Severity: finding.Error, Mechanism: i,
			Message: fmt.Sprintf("The cut of %s reaches %s past what is left of %s.", x.d.Mechanisms[i].ID, amount, panel),
			At:      finding.Interval{From: 0, To: x.d.Spread.OpensTo},
			Amount:  amount,
			Where:   finding.Where{Panels: []string{panel}},
		})
	}
}

// pastEdge is how far a ring's corners reach out of an outline, mm.
func pastEdge(ring, outline []geom.Vec2) float64 {
	past := 0.0
	for _, p := range ring {
		if !geom.PolygonContains(outline, p) {
			past = max(past, geom.PolygonDistance(outline, p))
		}
	}
	return past
}

// sharedDepth is how far the corners of either ring reach into the other, mm;
// for rings that cross without a corner inside, how far apart the ends of their
// overlap are.
func sharedDepth(a, b []geom.Vec2) float64 {
	depth := 0.0
	for _, pair := range [2][2][]geom.Vec2{{a, b}, {b, a}} {
		for _, p := range pair[0] {
			if geom.PolygonContains(pair[1], p) {
				depth = max(depth, geom.PolygonDistance(pair[1], p))
			}
		}
	}
	if depth > 0 {
		return depth
	}
	common, err := geom.Intersection(geom.PolylinePath(a, true), geom.PolylinePath(b, true))
	if err != nil || len(common) == 0 {
		return 0
	}
	size := common.Bounds().Size()
	return min(size.X, size.Y)
}
