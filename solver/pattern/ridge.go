package pattern

import (
	"fmt"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// A figure that reaches past the ridge of its panel holds the ridge flat where
// its neck crosses it: glue over the crease, and the bead that rises along it,
// both keep it from folding. There the ridge is slit instead of scored, along
// the neck and the clearance of a slot, so that the neck stands free. Figures of
// opposite panels that pass one ridge cross each other, each through its own
// slit, so their necks need different places along it.

// neckProbe is how far beyond the ridge a figure is looked for, mm: past what
// drawing and rounding leave of a figure that ends on the ridge.
const neckProbe = 0.05

// neck is where a figure passes a ridge, as a stretch of its line.
type neck struct {
	mechanism, panel int // the figure, and the panel it is fixed to
	from, to         float64
}

// findNecks finds the figures that pass the ridge of the panel they are fixed
// to, and reports those that meet there.
func (m *maker) findNecks() {
	m.necks = make([][]neck, len(m.a.Folds))
	for i := range m.a.Panels {
		owner := m.a.Panels[i].Mechanism
		if owner < 0 {
			continue
		}
		if _, ok := m.a.Design.Mechanisms[owner].Spec.(*design.Figure); !ok {
			continue
		}
		host := m.figureHost(i)
		shape := m.a.Panels[i].Shape.Transform(m.figurePlace(i))
		outer := outerContour(shape)
		ring := shape[outer : outer+1].Flatten(flatTolerance)[0]
		for f := range m.a.Folds {
			fold := &m.a.Folds[f]
			if fold.Role != kinematics.RidgeFold || !m.inSheet[f] || fold.Left.Panel != host && fold.Right.Panel != host {
				continue
			}
			face := faceOn(fold, host)
			probe := face.Origin.Sub(face.Away.Mul(neckProbe))
			start := fold.Start
			for _, gap := range append(outside(ring, probe, face.Along, fold.Start, fold.Length), [2]float64{fold.Length, fold.Length}) {
				if gap[0]-start > weldTolerance {
					m.necks[f] = append(m.necks[f], neck{owner, host, start, gap[0]})
				}
				start = gap[1]
			}
		}
	}
	for f := range m.necks {
		m.checkNecks(f)
	}
}

// checkNecks reports figures of opposite panels whose necks overlap along their
// ridge, with how far to move one.
func (m *maker) checkNecks(fold int) {
	list := m.necks[fold]
	for i := range list {
		for k := range list[:i] {
			a, b := list[k], list[i]
			// The nearer way out, past either end of the other's slit.
			over := min(a.to-b.from, b.to-a.from) + m.o.SlotLengthClearance
			if a.panel == b.panel || over <= weldTolerance {
				continue
			}
			m.reportLength(CodeNecksMeet, b.mechanism, "place", over,
				fmt.Sprintf("%s and %s pass %s at the same place; move one of them %s along the ridge",
					Spaced(m.a.Design.Mechanisms[a.mechanism].ID), Spaced(m.a.Design.Mechanisms[b.mechanism].ID), m.a.Folds[fold].ID, m.length(over)))
		}
	}
}

// slitRidge takes the necks of figures out of the stretches of a crease, and
// slits the sheet there. It gives the stretches that stay scored.
func (m *maker) slitRidge(fold int, at, along geom.Vec2, scored [][2]float64) [][2]float64 {
	part := m.partOf[m.a.Folds[fold].Left.Panel]
	clear := m.o.SlotLengthClearance / 2
	for _, n := range m.necks[fold] {
		var left [][2]float64
		for _, s := range scored {
			from, to := max(s[0], n.from-clear), min(s[1], n.to+clear)
			if to-from < weldTolerance {
				left = append(left, s)
				continue
			}
			m.Parts[part].Cuts = append(m.Parts[part].Cuts, geom.PolylinePath([]geom.Vec2{at.Add(along.Mul(from)), at.Add(along.Mul(to))}, false)...)
			for _, rest := range [2][2]float64{{s[0], from}, {to, s[1]}} {
				if rest[1]-rest[0] > weldTolerance {
					left = append(left, rest)
				}
			}
		}
		scored = left
	}
	if web := m.web(); len(m.necks[fold]) > 0 {
		long := 0.0
		for _, s := range scored {
			long += s[1] - s[0]
		}
		if long < 2*web {
			last := m.necks[fold][len(m.necks[fold])-1]
			m.reportLength(CodeNarrowWeb, last.mechanism, "place", 2*web-long,
				fmt.Sprintf("the slits for figures leave %s of %s; it needs %s to hold its panels together", m.length(long), m.a.Folds[fold].ID, m.length(2*web)))
		}
	}
	return scored
}
