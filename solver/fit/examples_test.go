package fit

import (
	"math"
	"math/rand/v2"
	"testing"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/measure"
	"foldwright/testdata/designs"
)

// Whatever is asked of an example, by whatever numbers: there is an answer, and
// what it tells is finite. A good part of what is asked, at random, can be had.
func TestEveryExample(t *testing.T) {
	draw := rand.New(rand.NewPCG(2, 3))
	asked, met := 0, 0
	for _, name := range designs.Names() {
		d := example(t, name)
		a := kinematics.Compile(d)
		var pointers []string
		for i := range d.Mechanisms {
			for _, n := range d.Numbers(i) {
				pointers = append(pointers, n.Pointer)
			}
		}
		pointers = append(pointers, "/spread/page_width", "/spread/margin")
		list := measure.List(a)
		rounds := 6
		if len(d.Mechanisms) > 20 || testing.Short() {
			rounds = 1
		}
		for range rounds {
			task := &Task{Design: d, Keep: keepAll(2), Starts: 2, Seed: draw.Uint64()}
			task.Mockup = draw.IntN(3) == 0
			for _, i := range draw.Perm(len(pointers))[:min(3, len(pointers))] {
				task.Vary = append(task.Vary, Vary{Pointer: pointers[i], Step: []float64{0, 0.5}[draw.IntN(2)]})
			}
			for range 1 + draw.IntN(3) {
				m := list[draw.IntN(len(list))]
				at := geom.Angle(draw.Float64()) * d.OpensTo()
				g := Goal{Measure: m.ID, Opening: &at, Sense: Sense(draw.IntN(3)), Tolerance: 0.5}
				if g.Target = measured(t, d, &g) * (1 + 0.2*draw.Float64()); math.IsNaN(g.Target) {
					g.Target = 50
				}
				task.Goals = append(task.Goals, g)
			}
			answer := solve(t, task)
			asked++
			if answer.Met {
				met++
			}
			for _, n := range answer.Numbers {
				if !finite(n.After) || !finite(n.Exact) {
					t.Errorf("%s: %+v", name, n)
				}
			}
			if e := answer.Estimate; task.Mockup != (e != nil) || e != nil && !finite(e.ChiSquare) {
				t.Errorf("%s: estimate %+v", name, e)
			}
		}
	}
	t.Logf("%d of %d met", met, asked)
	if met*4 < asked {
		t.Errorf("%d of %d met", met, asked)
	}
}

// Where the conditions leave nothing to change the answer is the design, and the
// condition is named.
func TestNothingIsFree(t *testing.T) {
	task := &Task{Design: decode(t, quay), Keep: keepAll(5), Vary: []Vary{{Pointer: "/mechanisms/0/left/panel_width"}}, Goals: []Goal{equal("height.quay", 180, 40)}}
	a := solve(t, task)
	if a.Numbers[0].After != 50 || len(a.Conflict) != 2 || a.Conflict[1].Condition != shutsFlat {
		t.Errorf("%+v, conflict %+v", a.Numbers, a.Conflict)
	}
	task.Mockup = true
	if e := solve(t, task).Estimate; e.Rank != 0 || e.Freedom != 1 {
		t.Errorf("estimate %+v", e)
	}
	// Tied lengths that must be equal and are not cannot be had.
	task.Mockup, task.Keep.Symmetric = false, true
	task.Vary = []Vary{{Pointer: "/mechanisms/0/left/panel_width", Tied: []string{"/mechanisms/0/right/panel_width"}}}
	if a := solve(t, task); len(a.Conflict) == 0 || a.Conflict[0].Goal != -1 {
		t.Errorf("conflict %+v", a.Conflict)
	}
}
