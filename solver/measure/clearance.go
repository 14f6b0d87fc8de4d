package measure

import (
	"math"
	"slices"

	"foldwright/solver/collide"
	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/paper"
)

// joins tells for every mechanism what it is joined to: the mechanisms that
// have the panels it stands on or is glued to, kinematics.Spread for the pages.
//
// A mechanism without folds, such as a figure or a slide, is a layer of paper
// on its panel: what stands on it stands on that panel too, and would measure
// nothing but the glue.
func joins(a *kinematics.Assembly) [][]int {
	d := a.Design
	out := make([][]int, len(d.Mechanisms))
	folded := make([]bool, len(d.Mechanisms))
	for i := range a.Folds {
		if m := a.Folds[i].Mechanism; m != kinematics.Spread {
			folded[m] = true
		}
	}
	for _, i := range d.Order() {
		m := &d.Mechanisms[i]
		own := slices.Clone(d.HostsOf(i))
		add := func(panel int) {
			if panel >= 0 {
				own = append(own, a.Panels[panel].Mechanism)
			}
		}
		add(a.PanelIndex(m.On.Panel))
		if k := a.FoldIndex(m.On.Fold); k >= 0 {
			add(a.Folds[k].Panels[0]) // the other is of a host in any case
		}
		if linkage, ok := m.Spec.(*design.Linkage); ok {
			for k := range linkage.Glue {
				add(a.PanelIndex(linkage.Glue[k].To))
			}
		}
		for _, host := range slices.Clone(own) {
			if host != kinematics.Spread && !folded[host] {
				own = append(own, out[host]...)
			}
		}
		slices.Sort(own)
		out[i] = slices.Compact(own)
	}
	return out
}

// apart lists the pairs of panels between which clearance is measured: those of
// mechanisms that are not joined, the pages being one of their own. What lies
// behind a panel has that panel between itself and all else and is left out.
// It ends once visit says so.
func apart(a *kinematics.Assembly, visit func(p, q int) bool) {
	joined := joins(a)
	for q := range a.Panels {
		for p := range q {
			m, n := a.Panels[p].Mechanism, a.Panels[q].Mechanism
			switch {
			case m == n || a.Panels[p].Behind || a.Panels[q].Behind:
			case m != kinematics.Spread && slices.Contains(joined[m], n):
			case n != kinematics.Spread && slices.Contains(joined[n], m):
			default:
				if !visit(p, q) {
					return
				}
			}
		}
	}
}

func hasClearance(a *kinematics.Assembly) bool {
	found := false
	apart(a, func(int, int) bool {
		found = true
		return false
	})
	return found
}

// gap is the pairs of panels between which one clearance is measured.
type gap struct {
	m     *Measure
	pairs [][2]int
}

// contact is a point of a panel: one of the two nearest.
type contact struct {
	panel int
	at    geom.Vec2
}

// gapOf finds the pairs of a clearance. Between two things every panel counts,
// joined or not.
func (g *Gauge) gapOf(m *Measure) *gap {
	for _, known := range g.gaps {
		if known.m.ID == m.ID {
			return known
		}
	}
	found := &gap{m: m}
	if m.sides[0].named {
		for p := range g.a.Panels {
			for q := range g.a.Panels {
				if p != q && m.sides[0].holds(g.a, p) && m.sides[1].holds(g.a, q) {
					found.pairs = append(found.pairs, [2]int{p, q})
				}
			}
		}
	} else {
		apart(g.a, func(p, q int) bool {
			found.pairs = append(found.pairs, [2]int{p, q})
			return true
		})
	}
	g.gaps = append(g.gaps, found)
	return found
}

// face is a panel as clearances see it.
func (g *Gauge) face(panel int) *collide.Face {
	if g.faces == nil {
		g.faces = make([]*collide.Face, len(g.a.Panels))
	}
	if g.faces[panel] == nil {
		rings, err := paper.Rings(&g.a.Panels[panel], kinematics.OutlineTolerance)
		if err != nil { // too tangled for outlines and holes: as it is filled
			rings = paper.Shape(&g.a.Panels[panel]).Flatten(kinematics.OutlineTolerance)
		}
		g.faces[panel] = collide.NewFace(rings)
	}
	return g.faces[panel]
}

func (g *Gauge) takeClearance(t *Taken, p *kinematics.Pose) {
	pairs := g.gapOf(t.m).pairs
	if len(pairs) == 0 {
		return
	}
	for _, pair := range pairs {
		g.face(pair[0]).MoveTo(p.Panels[pair[0]])
		g.face(pair[1]).MoveTo(p.Panels[pair[1]])
	}
	best, decides := collide.Nearest{Gap2: math.Inf(1)}, pairs[0]
	for k, pair := range pairs {
		if !best.Between(g.faces[pair[0]], g.faces[pair[1]]) {
			continue
		}
		decides = pair
		// The nearest pair is most likely so in the next pose, where it then
		// spares the others all but a look at their boxes.
		pairs[0], pairs[k] = pairs[k], pairs[0]
		if best.Gap2 == 0 {
			break
		}
	}
	t.Value = math.Sqrt(best.Gap2)
	t.slope = best.P.Sub(best.Q).Unit()
	for i, at := range [...]geom.Vec3{best.P, best.Q} {
		v := p.Panels[decides[i]].Local(at)
		t.near[i] = contact{decides[i], geom.Vec2{X: v.X, Y: v.Y}}
	}
}
