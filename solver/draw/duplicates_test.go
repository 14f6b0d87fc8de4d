package draw

import (
	"math"
	"strings"
	"testing"

	"foldwright/solver/geom"
)

// lengths is how much there is of an operation, as placed.
func lengths(d *Drawing, op Operation) float64 {
	sum := 0.0
	for i := range d.Parts {
		for _, m := range d.Parts[i].Marks {
			if m.Op == op {
				sum += m.Path.Transform(d.Parts[i].Place).Length()
			}
		}
	}
	return sum
}

func TestRemoveDuplicateLines(t *testing.T) {
	square := geom.Rect(0, 0, 10, 10)
	arc := path(t, "M10 0 A10 10 0 0 1 0 10")
	curve := path(t, "M0 0 C3 8 7 8 10 0")
	rows := []struct {
		name        string
		ops         [2]Operation
		a, b        geom.Path
		placeB      geom.Placement
		left, dupes float64 // mm left of both, and taken away
	}{
		{"twice the same", [2]Operation{Cut, Cut}, square, square, geom.Identity, 40, 40},
		{"twice the same, backwards", [2]Operation{Cut, Cut}, square, square.Reverse(), geom.Identity, 40, 40},
		{"neighbours on a side", [2]Operation{Cut, Cut}, square, square, geom.Move(v(10, 0)), 70, 10},
		{"neighbours on half a side", [2]Operation{Cut, Cut}, square, square, geom.Move(v(10, 5)), 75, 5},
		{"neighbours turned and mirrored", [2]Operation{Cut, Cut}, square, square,
			geom.Placement{C: -1, Mirror: true}.Then(geom.Move(v(20, -3))), 73, 7},
		{"a hundredth apart is one line", [2]Operation{Cut, Cut}, square, square, geom.Move(v(10.009, 0)), 70, 10},
		{"a tenth apart is two", [2]Operation{Cut, Cut}, square, square, geom.Move(v(10.1, 0)), 80, 0},
		{"crossing", [2]Operation{Cut, Cut}, path(t, "M0 5 H10"), path(t, "M5 0 V10"), geom.Identity, 20, 0},
		{"corner to corner", [2]Operation{Cut, Cut}, square, square, geom.Move(v(10, 10)), 80, 0},
		{"line twice over itself", [2]Operation{Cut, Cut}, path(t, "M0 0 H10 H4"), path(t, "M50 50 h1"), geom.Identity, 11, 6},
		{"crease under a cut", [2]Operation{Cut, ScoreValley}, square, path(t, "M0 0 H25"), geom.Identity, 55, 10},
		{"crease drawn first", [2]Operation{ScoreMountain, Cut}, path(t, "M-5 0 H5"), square, geom.Identity, 45, 5},
		{"perforation under a cut", [2]Operation{Cut, Perforate}, square, path(t, "M10 2 V8"), geom.Identity, 40, 6},
		{"crease and perforation stay", [2]Operation{Perforate, ScoreValley}, path(t, "M0 0 H9"), path(t, "M0 0 H9"), geom.Identity, 18, 0},
		{"mountain and valley stay", [2]Operation{ScoreMountain, ScoreValley}, path(t, "M0 0 H9"), path(t, "M0 0 H9"), geom.Identity, 18, 0},
		{"half of an arc", [2]Operation{Cut, Cut}, arc, path(t, "M10 0 A10 10 0 0 1 7.0710678118654755 7.0710678118654755"), geom.Identity, 5 * math.Pi, 2.5 * math.Pi},
		{"arc backwards, overlapping", [2]Operation{Cut, Cut}, arc, path(t, "M-7.0710678118654755 7.0710678118654755 A10 10 0 0 0 7.0710678118654755 7.0710678118654755"),
			geom.Identity, 7.5 * math.Pi, 2.5 * math.Pi},
		{"circles in quarters and thirds", [2]Operation{Cut, Cut}, geom.Circle(v(3, 3), 4), geom.CircularArc(v(3, 3), 4, 1, 2*math.Pi), geom.Identity, 8 * math.Pi, 8 * math.Pi},
		{"arc of another radius", [2]Operation{Cut, Cut}, arc, path(t, "M10 0 A11 11 0 0 1 0 10"), geom.Identity, 0, 0},
		{"curve and its mirror image", [2]Operation{Cut, Cut}, curve, curve.Reverse(), geom.Placement{C: -1, Mirror: true, T: v(10, 0)}, 0, -1},
		{"glue stays", [2]Operation{Glue, Glue}, square, square, geom.Identity, 80, 0},
	}
	for _, r := range rows {
		d := sheetOf(t, r.ops[0], r.a)
		d.Parts = append(d.Parts, Part{ID: "pier", Place: r.placeB, Marks: []Mark{{Op: r.ops[1], Path: r.b, ID: "a"}}})
		switch {
		case r.dupes < 0: // one of two alike goes
			r.left, r.dupes = r.a.Length(), r.a.Length()
		case r.left == 0: // both stay
			r.left = r.a.Length() + r.b.Length()
		}
		all := d.Parts[0].Marks[0].Path.String()
		out, gone, err := RemoveDuplicateLines(d)
		if err != nil {
			t.Fatal(err)
		}
		got := lengths(out, r.ops[0])
		if r.ops[0] != r.ops[1] {
			got += lengths(out, r.ops[1])
		}
		// Ends may lie a hundredth off where lines are taken as one.
		if math.Abs(got-r.left) > 0.002 || math.Abs(gone.Duplicates-r.dupes) > 0.002 {
			t.Errorf("%s: %.4f left and %.4f gone, want %.4f and %.4f", r.name, got, gone.Duplicates, r.left, r.dupes)
		}
		if d.Parts[0].Marks[0].Path.String() != all {
			t.Errorf("%s: the drawing given has changed", r.name)
		}
	}
}

// What stays of a square whose one side is taken is one open run of three
// sides, in the square's own order.
func TestDuplicateRuns(t *testing.T) {
	d := sheetOf(t, Cut, geom.Rect(0, 0, 10, 10), geom.Rect(10, 0, 20, 10), path(t, "M13 10 V20 H17 V10 Z"))
	out, _, err := RemoveDuplicateLines(d)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, m := range out.Parts[0].Marks {
		got = append(got, m.ID+": "+m.Path.String())
	}
	want := "a: M0 0 H10 V10 H0 Z, b: M10 0 H20 V10 H10, c: M13 10 V20 H17 V10"
	if s := strings.Join(got, ", "); s != want {
		t.Errorf("%s, want %s", s, want)
	}
	// Nothing doubled: the same drawing to the byte.
	same, gone, err := RemoveDuplicateLines(harbour(t))
	if err != nil || gone != (Removal{}) || string(svg(t, same, SVGOptions{})) != string(svg(t, harbour(t), SVGOptions{})) {
		t.Errorf("a clean drawing must stay: %+v, %v", gone, err)
	}
}

func TestSlivers(t *testing.T) {
	// A line that reaches 0.05 mm past another leaves a crumb; a tiny cut is one.
	d := sheetOf(t, Cut, path(t, "M0 0 H10"), path(t, "M0 0 H10.05"), path(t, "M50 0 h0.06"), path(t, "M60 0 h0.2"))
	out, gone, err := RemoveDuplicateLines(d)
	if err != nil {
		t.Fatal(err)
	}
	if got := lengths(out, Cut); math.Abs(got-10.2) > 1e-9 || math.Abs(gone.Slivers-0.11) > 1e-9 || len(out.Parts[0].Marks) != 2 {
		t.Errorf("%g left, %+v gone, %d marks", got, gone, len(out.Parts[0].Marks))
	}
}
