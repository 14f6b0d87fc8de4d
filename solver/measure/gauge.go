package measure

import (
	"math"

	"foldwright/solver/collide"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// Gauge takes measures of one assembly in pose after pose. Measures belong to
// the assembly they were found in, and to others compiled from the same
// document with other numbers.
type Gauge struct {
	a *kinematics.Assembly
	// gaps are the pairs of panels of each clearance taken so far.
	gaps []*gap
	// faces are the panels that clearances have looked at.
	faces []*collide.Face
}

// NewGauge makes a gauge for an assembly.
func NewGauge(a *kinematics.Assembly) *Gauge { return &Gauge{a: a} }

// Taken is a measure taken in one pose. It remembers what decides the value:
// the highest corner, the two nearest points.
type Taken struct {
	Value float64 // mm or radians, NaN where there is none

	m             *Measure
	panel, corner int        // that decides a height or an inset
	slope         geom.Vec3  // of the value by that corner's position
	near          [2]contact // that decide a clearance
}

// Take takes a measure in a pose of the assembly. The value is NaN where what is
// measured is not reached; of everything, where not all of it is, since a
// mechanism that drops out would make it jump.
func (g *Gauge) Take(m *Measure, p *kinematics.Pose) Taken {
	t := Taken{Value: math.NaN(), m: m}
	if !g.reached(m, p) {
		return t
	}
	switch m.Kind {
	case Height:
		g.takeHeight(&t, p)
	case Across:
		t.Value = m.points[0].position(g.a, p).X
	case Along:
		t.Value = m.points[0].position(g.a, p).Y
	case Fold:
		t.Value = float64(p.FoldAngle(m.index))
	case Tilt:
		t.Value = between(g.printedNormal(p, m.index), geom.Vec3{Z: 1})
	case Lean:
		t.Value = between(g.printedNormal(p, m.index), g.printedNormal(p, m.page))
	case Travel:
		t.Value = p.Strips[m.index].Travel
	case Inset:
		g.takeInset(&t, p)
	case Distance:
		t.Value = m.points[1].position(g.a, p).Sub(m.points[0].position(g.a, p)).Norm()
	case Clearance:
		g.takeClearance(&t, p)
	}
	return t
}

func (g *Gauge) reached(m *Measure, p *kinematics.Pose) bool {
	list, all := m.Mechanisms(g.a)
	if all {
		return p.AllReached
	}
	for _, i := range list {
		if p.Reach[i] != kinematics.Reached {
			return false
		}
	}
	return true
}

// takeHeight finds the highest corner. Of everything, what does not rise above
// the gutter counts as nothing: a bare spread has the height 0.
func (g *Gauge) takeHeight(t *Taken, p *kinematics.Pose) {
	t.slope, t.panel = geom.Vec3{Z: 1}, -1
	switch m := t.m; {
	case m.points[0].on != noPoint:
		t.Value = m.points[0].position(g.a, p).Z
		return
	case m.thing.named:
		t.Value = math.Inf(-1)
	default:
		t.Value = 0
	}
	for i := range g.a.Panels {
		if t.m.thing.named && !t.m.thing.holds(g.a, i) || !t.m.thing.named && g.a.Panels[i].Mechanism == kinematics.Spread {
			continue
		}
		f := &p.Panels[i]
		for k, v := range g.a.Panels[i].Outline {
			if z := f.Origin.Z + v.X*f.X.Z + v.Y*f.Y.Z; z > t.Value {
				t.Value, t.panel, t.corner = z, i, k
			}
		}
	}
	if math.IsInf(t.Value, -1) {
		t.Value = math.NaN() // nothing is compiled of it
	}
}

func (g *Gauge) printedNormal(p *kinematics.Pose, panel int) geom.Vec3 {
	return p.Panels[panel].Normal().Mul(g.a.Panels[panel].Printed)
}

// between is the angle between two unit vectors, exact where they nearly
// coincide too.
func between(a, b geom.Vec3) float64 {
	return 2 * math.Atan2(a.Sub(b).Norm(), a.Add(b).Norm())
}
