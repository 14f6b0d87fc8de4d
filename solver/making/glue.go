package making

import (
	"fmt"

	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/geom"
	"foldwright/solver/pattern"
)

const (
	// flatTolerance is the chord error of outlines that are only measured, mm.
	flatTolerance = 0.02
	// touching is how far areas may reach into each other, mm, and still only
	// touch: a cutter repeats to 0.1.
	touching = 0.1
)

// checkGlue looks at the places on each part where others are glued.
func (x *exam) checkGlue() {
	for part := range x.p.Parts {
		for i := range x.p.Parts[part].Glue {
			g := &x.p.Parts[part].Glue[i]
			k, ok := x.joints[g.Joint]
			if g.Tab || !ok || x.halted() {
				continue
			}
			j := &x.p.Joints[k]
			x.checkCreases(part, g, j)
			x.checkSlotsIn(part, g, j)
			x.checkCutAway(part, g, j)
		}
	}
	x.checkFigureTabs()
}

// checkCreases finds glue across a crease.
func (x *exam) checkCreases(part int, g *pattern.GlueArea, j *pattern.Joint) {
	box := g.Path.Bounds()
	for _, ring := range g.Path.Flatten(flatTolerance) {
		for i := range x.p.Parts[part].Creases {
			c := &x.p.Parts[part].Creases[i]
			if !box.Overlaps(geom.EmptyBox().Extend(c.From).Extend(c.To)) {
				continue
			}
			over := reachOver(ring, c.From, c.To)
			if over <= touching {
				continue
			}
			amount := x.length(over)
			x.add(finding.Finding{
				Code: finding.OverCrease, Severity: finding.Error, Mechanism: j.Mechanism, Amount: amount,
				Message: fmt.Sprintf("%s is glued to %s at %s %s across the crease %s, which then cannot fold.", j.Part, j.Host, j.Label, amount, c.ID),
				Where:   x.at(part, box.Center()),
			})
		}
	}
}

// reachOver is how far a ring reaches over the line of a crease to the side where
// it reaches less, within the crease's length.
func reachOver(ring []geom.Vec2, a, b geom.Vec2) float64 {
	along := b.Sub(a).Unit()
	n := along.Perp()
	// The strip of the ring beside the crease.
	ring = geom.ClipPolygon(ring, a, along)
	ring = geom.ClipPolygon(ring, b, along.Mul(-1))
	left, right := 0.0, 0.0
	for _, p := range ring {
		d := p.Sub(a).Dot(n)
		left, right = max(left, d), max(right, -d)
	}
	return min(left, right)
}

// checkSlotsIn finds slots of tabs cut through the places of others. Other cuts
// are looked at when they are made.
func (x *exam) checkSlotsIn(part int, g *pattern.GlueArea, j *pattern.Joint) {
	box := g.Path.Bounds()
	for i := range x.p.Parts[part].Slots {
		s := &x.p.Parts[part].Slots[i]
		owner, ok := x.joints[s.Joint]
		if !ok || s.Joint == g.Joint || !x.designed(&x.p.Joints[owner]) || !box.Overlaps(s.Path.Bounds()) {
			continue
		}
		both, err := geom.Intersection(s.Path, g.Path)
		if err != nil || len(both) == 0 {
			continue
		}
		in := both.Bounds()
		deep := max(in.Size().X, in.Size().Y)
		if deep <= touching {
			continue
		}
		amount := x.length(deep)
		x.add(finding.Finding{
			Code: finding.CutInGlue, Severity: finding.Warning, Mechanism: x.p.Joints[owner].Mechanism, Amount: amount,
			Message: fmt.Sprintf("The slot for %s runs %s into the place where %s is glued, at %s.", x.p.Joints[owner].Part, amount, j.Part, j.Label),
			Where:   x.at(part, in.Center()),
		})
	}
}

// checkCutAway finds glue where the host's paper is taken away by a mechanism cut
// from it.
func (x *exam) checkCutAway(part int, g *pattern.GlueArea, j *pattern.Joint) {
	box := g.Path.Bounds()
	for _, placed := range x.p.Parts[part].Panels {
		open := x.a.Panels[placed.Panel].Openings
		if len(open) == 0 {
			continue
		}
		gone := open.Transform(placed.Place)
		if !box.Overlaps(gone.Bounds()) {
			continue
		}
		both, err := geom.Intersection(gone, g.Path)
		if err != nil || len(both) == 0 {
			continue
		}
		in := both.Bounds()
		over := min(in.Size().X, in.Size().Y)
		if over <= touching {
			continue
		}
		amount := x.length(over)
		x.add(finding.Finding{
			Code: finding.TabOffHost, Severity: finding.Warning, Mechanism: j.Mechanism, Amount: amount,
			Message: fmt.Sprintf("%s is glued at %s where %s of %s is cut away.", j.Part, j.Label, amount, j.Host),
			Where:   x.at(part, in.Center()),
		})
	}
}

// checkFigureTabs finds tabs of figures that hang over their panel behind it.
func (x *exam) checkFigureTabs() {
	for i := range x.p.Joints {
		j := &x.p.Joints[i]
		spec, ok := x.a.Design.Mechanisms[j.Mechanism].Spec.(*design.Figure)
		host := x.a.PanelIndex(x.a.Design.Mechanisms[j.Mechanism].On.Panel)
		if !ok || !j.Slotted || host < 0 {
			continue
		}
		place, at, half := spec.Place.Placement(), spec.Tab.At, spec.Tab.Width/2
		over, worst := 0.0, geom.Vec2{}
		for _, c := range geom.Rect(at-half, -spec.Tab.Depth, at+half, 0).Transform(place).Flatten(flatTolerance)[0] {
			if outline := x.a.Panels[host].Outline; !geom.PolygonContains(outline, c) {
				if d := geom.PolygonDistance(outline, c); d > over {
					over, worst = d, c
				}
			}
		}
		if over <= touching || x.partOf[host] < 0 {
			continue
		}
		amount := x.length(over)
		x.add(finding.Finding{
			Code: finding.TabOffHost, Severity: finding.Warning, Mechanism: j.Mechanism, Amount: amount,
			Message: fmt.Sprintf("Tab %s of %s reaches %s past the edge of %s behind it.", j.Label, j.Part, amount, x.a.Panels[host].ID),
			Where:   x.at(x.partOf[host], x.placeOf(host).Apply(worst)),
		})
	}
}

// placeOf takes a panel to its part.
func (x *exam) placeOf(panel int) geom.Placement {
	for _, placed := range x.p.Parts[x.partOf[panel]].Panels {
		if placed.Panel == panel {
			return placed.Place
		}
	}
	return geom.Identity
}
