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

// lighthouseNumbers are what may change of the lighthouse, in steps one can draw.
func lighthouseNumbers() []Vary {
	return []Vary{
		{Pointer: "/mechanisms/0/left/base_angle", Step: 1}, {Pointer: "/mechanisms/0/left/panel_angle", Step: 1},
		{Pointer: "/mechanisms/0/left/base_length", Step: 0.5}, {Pointer: "/mechanisms/0/ridge_length", Step: 0.5},
		{Pointer: "/mechanisms/0/at", Step: 0.5},
	}
}

// What a paper engineer would ask of the lighthouse: the mast 70 high on the
// table, its ridge at 82 degrees half way, 5 inside the page. Upright as it is,
// only the ridge grows and the base lines open; nothing else need change.
//
// Source: for a symmetric V of base angle a and panel angle p at an opening φ,
// sin(κ/2) = sin a·sin(φ/2)/sin p (reference sheet 2). With p = 90 and φ = 90,
// κ = 82 wants sin a = √2·sin 41°, a = 68.1.
func TestLighthouse(t *testing.T) {
	a := solve(t, &Task{
		Design: example(t, "lighthouse"), Vary: lighthouseNumbers(), Keep: keepAll(5),
		Goals: []Goal{equal("height.lighthouse.ridge@end", 180, 70), equal("fold.lighthouse.ridge", 90, 82)},
	})
	show(t, a)
	want := []float64{68, 90, 55, 70, 80}
	for i, n := range a.Numbers {
		if n.After != want[i] || !n.OnGrid {
			t.Errorf("%s is %g, want %g", n.Pointer, n.After, want[i])
		}
	}
	sin := math.Sqrt2 * math.Sin(41*math.Pi/180)
	if exact := math.Asin(sin) * 180 / math.Pi; math.Abs(a.Numbers[0].Exact-exact) > 1e-3 {
		t.Errorf("base angle %g before rounding, want %g", a.Numbers[0].Exact, exact)
	}
	if !a.Met || a.Conflict != nil || len(a.After) > 0 {
		t.Errorf("met %t, conflict %v, findings %v", a.Met, a.Conflict, a.After)
	}
}

// The same formula says that a V which opens flat has its ridge at 90 degrees at
// most when the book is half open, as sin a ≤ sin p then. Asked for 110, the
// answer goes as far as that and names what is in the way; the mast is as high as
// is wanted all the same. On a book that opens less there is a way.
func TestRidgeTooWide(t *testing.T) {
	d := example(t, "lighthouse")
	goals := []Goal{equal("height.lighthouse.ridge@end", 180, 70), equal("fold.lighthouse.ridge", 90, 110)}
	a := solve(t, &Task{Design: d, Vary: lighthouseNumbers(), Keep: keepAll(5), Goals: goals})
	show(t, a)
	if a.Met || !a.Goals[0].Met || a.Goals[1].After > 90 || a.Goals[1].After < 89 {
		t.Errorf("goals %+v", a.Goals)
	}
	if len(a.Conflict) != 2 || a.Conflict[0] != (Party{Goal: 1}) || a.Conflict[1] != (Party{Goal: -1, Condition: opensFully}) {
		t.Errorf("conflict %+v", a.Conflict)
	}
	if len(a.Limits) != 1 || a.Limits[0].Kind != AtFullOpen {
		t.Errorf("limits %+v", a.Limits)
	}

	less := d.Clone()
	less.Spread.OpensTo = geom.Degrees(110)
	goals[0] = equal("height.lighthouse.ridge@end", 110, 70)
	a = solve(t, &Task{Design: less, Vary: lighthouseNumbers(), Keep: keepAll(5), Goals: goals})
	if show(t, a); !a.Met || len(a.After) > len(a.Before) {
		t.Errorf("goals %+v, findings %v", a.Goals, a.After)
	}
}
