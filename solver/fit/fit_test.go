package fit

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/testdata/designs"
)

func decode(t rapid.TB, document string) *design.Design {
	t.Helper()
	d, err := design.Decode([]byte(document))
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func example(t rapid.TB, name string) *design.Design {
	t.Helper()
	document, ok := designs.Read(name)
	if !ok {
		t.Fatalf("no example %s", name)
	}
	return decode(t, string(document))
}

func never() bool { return false }

func solve(t rapid.TB, task *Task) *Answer {
	t.Helper()
	a, err := Solve(task, never, nil)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// equal is a goal at an opening in degrees, to be met within half a unit.
func equal(measure string, opening, target float64) Goal {
	at := geom.Degrees(opening)
	return Goal{Measure: measure, Opening: &at, Target: target}
}

func keepAll(inset float64) Keep {
	return Keep{ShutsFlat: true, OpensFully: true, Inside: true, Inset: inset, NoNewErrors: true}
}

// show tells a reader of the log what came out.
func show(t testing.TB, a *Answer) {
	t.Helper()
	for _, n := range a.Numbers {
		t.Logf("%-32s %8.4g -> %8.4g (%.6g) %s", n.Pointer, n.Before, n.After, n.Exact, n.Unit)
	}
	for i, g := range a.Goals {
		t.Logf("goal %d: %8.4g -> %8.4g (%.6g) %s met %t", i, g.Before, g.After, g.Exact, g.Unit, g.Met)
	}
	t.Logf("met %t misfit %.4g exact %.4g limits %+v conflict %+v runs %d steps %d", a.Met, a.Misfit, a.Exact, a.Limits, a.Conflict, a.Runs, a.Steps)
	for _, s := range a.Alternatives {
		t.Logf("alternative %+v", s.Numbers)
	}
	for _, f := range a.After {
		t.Logf("finding %s %s", f.Code, f.Message)
	}
}

// What a paper engineer would ask of the lighthouse.
func TestLighthouse(t *testing.T) {
	d := example(t, "lighthouse")
	a := solve(t, &Task{
		Design: d,
		Vary: []Vary{
			{Pointer: "/mechanisms/0/left/base_angle", Step: 1}, {Pointer: "/mechanisms/0/left/panel_angle", Step: 1},
			{Pointer: "/mechanisms/0/left/base_length", Step: 0.5}, {Pointer: "/mechanisms/0/ridge_length", Step: 0.5},
			{Pointer: "/mechanisms/0/at", Step: 0.5},
		},
		Goals: []Goal{equal("height.lighthouse.ridge@end", 180, 70), equal("fold.lighthouse.left_base", 90, 110)},
		Keep:  keepAll(5),
	})
	show(t, a)
	if !a.Met || math.IsNaN(a.Misfit) {
		t.Error("not met")
	}
}
