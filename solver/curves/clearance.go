package curves

import (
	"math"
	"slices"

	"foldwright/solver/collide"
	"foldwright/solver/design"
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

// gauge measures the clearance of one design in pose after pose.
type gauge struct {
	a     *kinematics.Assembly
	faces []*collide.Face
	pairs [][2]int
}

func newGauge(a *kinematics.Assembly) *gauge {
	g := &gauge{a: a, faces: make([]*collide.Face, len(a.Panels))}
	apart(a, func(p, q int) bool {
		g.pairs = append(g.pairs, [2]int{p, q})
		return true
	})
	for i := range g.faces {
		rings, err := paper.Rings(&a.Panels[i], kinematics.OutlineTolerance)
		if err != nil { // too tangled for outlines and holes: as it is filled
			rings = paper.Shape(&a.Panels[i]).Flatten(kinematics.OutlineTolerance)
		}
		g.faces[i] = collide.NewFace(rings)
	}
	return g
}

// of is the clearance in mm, NaN where not everything is reached: as with the
// height, a mechanism that drops out would make it jump.
func (g *gauge) of(p *kinematics.Pose) float64 {
	if !p.AllReached || len(g.pairs) == 0 {
		return math.NaN()
	}
	for i, f := range g.faces {
		f.MoveTo(p.Panels[i])
	}
	best := math.Inf(1)
	for k, pair := range g.pairs {
		gap := collide.Gap2(g.faces[pair[0]], g.faces[pair[1]], best)
		if gap < best {
			best = gap
			// The nearest pair is most likely so in the next pose, where it
			// then spares the others all but a look at their boxes.
			g.pairs[0], g.pairs[k] = g.pairs[k], g.pairs[0]
		}
		if best == 0 {
			break
		}
	}
	return math.Sqrt(best)
}
