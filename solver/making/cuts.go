package making

import (
	"fmt"
	"math"

	"foldwright/solver/finding"
	"foldwright/solver/geom"
)

// checkSlots holds the slots of figures' tabs against creases. Slots of base lines
// are made clear of them; the paper between cuts, and to the edge, is looked at
// when they are made.
func (x *exam) checkSlots() {
	for part := range x.p.Parts {
		p := &x.p.Parts[part]
		for i := range p.Slots {
			k, ok := x.joints[p.Slots[i].Joint]
			if !ok || x.a.FoldIndex(p.Slots[i].Joint) >= 0 || !x.designed(&x.p.Joints[k]) {
				continue
			}
			j, ring := &x.p.Joints[k], p.Slots[i].Path.Flatten(flatTolerance)[0]
			left, beside := math.Inf(1), ""
			for c := range p.Creases {
				if d := geom.RingDistance(ring, []geom.Vec2{p.Creases[c].From, p.Creases[c].To}); d < left {
					left, beside = d, p.Creases[c].ID
				}
			}
			if web := x.web(); left < web-touching {
				amount := x.length(web - left)
				x.add(finding.Finding{
					Code: finding.SlotNearEdge, Severity: finding.Warning, Mechanism: j.Mechanism, Amount: amount,
					Message: fmt.Sprintf("The slot for %s leaves %s of paper to the crease %s of %s; it needs %s.", j.Part, x.length(left), beside, j.Host, x.length(web)),
					Where:   x.at(part, geom.PolylinePath(ring, true).Bounds().Center()),
				})
			}
		}
	}
}
