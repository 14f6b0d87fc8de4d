package creep

import (
	"math"
	"slices"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/pattern"
	"foldwright/solver/stack"
)

// leastChange is the allowance that is not worth making, mm: the step of a
// cutter (general illustration).
const leastChange = 0.025

// Change is one measurement made larger.
type Change struct {
	Mechanism     int
	Pointer       string // of the field
	Before, After float64
	Unit          string // of both: "deg", or the unit of the design
	Layers        int    // between the panels
}

// Allow gives the design with room for what lies between its panels when shut,
// and every change, by mechanism. p is the pattern of the assembly, for its tabs.
// The design itself is not changed. The error is stack.ErrStopped.
func Allow(a *kinematics.Assembly, p *pattern.Pattern, factor float64, stop func() bool) (*design.Design, []Change, error) {
	shut, err := stack.Judge(a, p, stack.Options{Stop: stop})
	if err != nil {
		return nil, nil, err
	}
	out := a.Design.Clone()
	between := newLayers(a, shut)
	var changes []Change
	for i := range a.Folds {
		f := &a.Folds[i]
		if f.Role != kinematics.RidgeFold || slices.Contains(shut.LeftOut, f.Mechanism) {
			continue
		}
		wrapped := between.widest(f)
		extra := factor * wrapped.extra
		if extra < leastChange {
			continue
		}
		for _, n := range sides(out, f.Mechanism) {
			more := extra
			if n.Angle {
				more /= wrapped.fromApex
			}
			before := n.Get()
			n.Set(before + more/n.Scale())
			changes = append(changes, Change{f.Mechanism, n.Pointer, before, n.Get(), n.Unit(), wrapped.layers})
		}
	}
	return out, changes, nil
}

// sides are the measurements of a mechanism that carry its ridge outwards.
func sides(d *design.Design, mechanism int) []design.Number {
	var fields []string
	switch d.Mechanisms[mechanism].Spec.(type) {
	case *design.ParallelFold:
		fields = []string{"left/panel_width", "right/panel_width"}
	case *design.VFold:
		fields = []string{"left/panel_angle", "right/panel_angle"}
	}
	var list []design.Number
	for _, field := range fields { // a right side that mirrors the left has none
		if n, ok := d.Number(design.Point(mechanism, field)); ok {
			list = append(list, n)
		}
	}
	return list
}

// layers tells which panels lie between others in the shut page.
type layers struct {
	a     *kinematics.Assembly
	shut  *kinematics.Pose
	above map[[2]int]bool // by panels: the second lies above the first
	near  [][]int         // by panel: those it overlaps
}

func newLayers(a *kinematics.Assembly, r *stack.Result) *layers {
	l := &layers{a: a, shut: a.NewPose(), above: map[[2]int]bool{}, near: make([][]int, len(a.Panels))}
	a.PoseInto(l.shut, kinematics.Drive{})
	index := map[string]int{}
	for i := range a.Panels {
		index[a.Panels[i].ID] = i
	}
	for _, pair := range r.Pairs {
		first, second := &r.Pieces[pair.First], &r.Pieces[pair.Second]
		if first.Sort != stack.Panel || second.Sort != stack.Panel || pair.Basis == stack.InPlaces || pair.Basis == stack.Trapped || pair.Basis == stack.Unknown {
			continue
		}
		i, j := index[first.ID], index[second.ID]
		l.above[[2]int{i, j}], l.above[[2]int{j, i}] = pair.Above, !pair.Above
		l.near[i], l.near[j] = append(l.near[i], j), append(l.near[j], i)
	}
	return l
}

// wrap is the pile that asks most of the panels round it.
type wrap struct {
	extra    float64 // for each panel, mm
	layers   int
	fromApex float64 // where it is made room for along the ridge, mm
}

// widest is what the panels of a ridge have to go round. Of the panels between
// them, each makes a pile with those it overlaps that come as near to the ridge.
func (l *layers) widest(f *kinematics.Fold) (most wrap) {
	left, right := f.Left.Panel, f.Right.Panel
	type layer struct {
		panel              int
		distance, fromApex float64
	}
	var between []layer
	for _, k := range l.near[left] {
		up, known := l.above[[2]int{right, k}]
		if known && l.above[[2]int{left, k}] != up {
			distance, along := l.toRidge(f, k)
			between = append(between, layer{k, distance, along})
		}
	}
	for _, one := range between {
		n := 1
		for _, other := range between {
			if other.panel != one.panel && other.distance <= one.distance && slices.Contains(l.near[one.panel], other.panel) {
				n++
			}
		}
		half := float64(n) * l.a.Design.Paper.Caliper / 2
		if extra := math.Hypot(one.distance, half) - one.distance; extra > most.extra {
			most = wrap{extra, n, max(one.fromApex, f.Length/2)}
		}
	}
	return most
}

// toRidge is how far a panel stays from a ridge in the shut page, and where along
// the ridge it comes nearest.
func (l *layers) toRidge(f *kinematics.Fold, panel int) (distance, along float64) {
	flat := func(panel int, p geom.Vec2) geom.Vec2 {
		at := l.shut.Panels[panel].At(p)
		return geom.Vec2{X: at.Z, Y: at.Y}
	}
	from := flat(f.Left.Panel, f.Left.Origin.Add(f.Left.Along.Mul(f.Start)))
	to := flat(f.Left.Panel, f.Left.Origin.Add(f.Left.Along.Mul(f.Length)))
	dir := to.Sub(from).Unit()
	distance = math.Inf(1)
	outline := l.a.Panels[panel].Outline
	for i, p := range outline {
		a, b := flat(panel, p), flat(panel, outline[(i+1)%len(outline)])
		d := geom.SegmentDistance(a, b, from, to)
		if d >= distance {
			continue
		}
		near := a
		if geom.PointSegmentDistance(b, from, to) < geom.PointSegmentDistance(a, from, to) {
			near = b
		}
		distance, along = d, f.Start+min(f.Length-f.Start, max(0, near.Sub(from).Dot(dir)))
	}
	return distance, along
}
