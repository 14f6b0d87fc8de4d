package draw

import (
	"errors"
	"math"
	"testing"

	"foldwright/solver/geom"
)

func TestEvenDashes(t *testing.T) {
	o := dashRule{cut: 3, tie: 1}
	for _, r := range []struct{ length, first, last, dashes float64 }{
		{41, 1, 1, 10}, {40, 1, 1, 10}, {42.9, 1, 1, 10}, {43.1, 1, 1, 11}, {40, 0.5, 0.5, 10}, {4, 1, 1, 1}, {2, 1, 0.5, 1},
	} {
		n, sum, at := 0.0, 0.0, 100.0
		shortest, longest := math.Inf(1), 0.0
		ties := 0.0
		evenDashes(100, 100+r.length, r.first, r.last, o, func(from, to float64) {
			n, sum = n+1, sum+to-from
			ties += from - at
			at = to
			shortest, longest = min(shortest, to-from), max(longest, to-from)
		})
		ties += 100 + r.length - at
		// The ratio holds: n dashes of 3 and n-1 ties of 1 and those at the ends.
		if want := r.length * 3 * r.dashes / (3*r.dashes + r.dashes - 1 + r.first + r.last); n != r.dashes || math.Abs(sum-want) > 1e-9 ||
			math.Abs(sum+ties-r.length) > 1e-9 || longest-shortest > 1e-9 {
			t.Errorf("%g mm: %g dashes of %g in all, want %g of %g", r.length, n, sum, r.dashes, want)
		}
	}
}

func TestExpandPerforations(t *testing.T) {
	rows := []struct {
		name   string
		line   geom.Path
		dashes int
		length float64
	}{
		{"straight line", path(t, "M0 0 H41"), 10, 30},
		{"round a corner", path(t, "M0 0 H20.5 V20.5"), 10, 30},
		{"arc", geom.CircularArc(v(0, 0), 41/math.Pi, 0, math.Pi), 10, 30},
		{"closed circle", geom.Circle(v(0, 0), 40/(2*math.Pi)), 10, 30},
		{"too short to cut", path(t, "M0 0 H0.6"), 0, 0},
	}
	for _, r := range rows {
		out, err := ExpandPerforations(sheetOf(t, Perforate, r.line), Perforation{})
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		for _, m := range out.Parts[0].Marks {
			n += len(m.Path)
			if m.ID != "perforate-a" {
				t.Errorf("%s: id %s", r.name, m.ID)
			}
		}
		if got := lengths(out, Cut); n != r.dashes || math.Abs(got-r.length) > 1e-6 || lengths(out, Perforate) != 0 {
			t.Errorf("%s: %d dashes, %.4f mm, want %d and %.4f", r.name, n, got, r.dashes, r.length)
		}
	}
}

// A tie lies across each crossing, as wide on both sides, with perforations,
// cuts, arcs and lines of another part; creases do not matter.
func TestTiesAtCrossings(t *testing.T) {
	d := sheetOf(t, Perforate, path(t, "M0 0 H100"), path(t, "M30 -20 V20"), path(t, "M62 0 V40"))
	d.Parts[0].Marks = append(d.Parts[0].Marks, Mark{Op: ScoreValley, Path: path(t, "M77 -9 V9"), ID: "x"})
	d.Parts = append(d.Parts, Part{ID: "buoy", Place: geom.Move(v(85, 0)), Marks: []Mark{{Op: Cut, Path: geom.Circle(v(0, 0), 5), ID: "x"}}})
	out, err := ExpandPerforations(d, Perforation{Cut: 4, Tie: 1})
	if err != nil {
		t.Fatal(err)
	}
	gap := func(p geom.Path, at geom.Vec2) (left, right float64) {
		left, right = math.Inf(1), math.Inf(1)
		for i := range p {
			for _, q := range []geom.Vec2{p[i].Start, p[i].End()} {
				d := q.X - at.X + q.Y - at.Y
				if d < 0 {
					left = min(left, -d)
				} else {
					right = min(right, d)
				}
			}
		}
		return left, right
	}
	row, column := out.Parts[0].Marks[0].Path, out.Parts[0].Marks[1].Path
	for _, r := range []struct {
		line geom.Path
		at   geom.Vec2
	}{{row, v(30, 0)}, {column, v(30, 0)}, {row, v(62, 0)}, {row, v(80, 0)}, {row, v(90, 0)}} {
		left, right := gap(r.line, r.at)
		// Half a tie, stretched to come out even by at most a sixth.
		if left < 0.4 || left > 0.6 || right < 0.4 || right > 0.6 {
			t.Errorf("at %v the dashes end %.3f before and begin %.3f after", r.at, left, right)
		}
	}
	if left, right := gap(row, v(0, 0)); left < math.Inf(1) || right < 0.8 || right > 1.2 {
		t.Errorf("the line begins with a tie of %g", right)
	}
	if got, want := lengths(out, ScoreValley), 18.0; got != want {
		t.Errorf("creases must stay: %g", got)
	}
	// Ratio of 4:1, but for the extra tie shared out at ends and crossings.
	for i, want := range []float64{100, 40, 40} {
		got := out.Parts[0].Marks[i].Path.Length() / want
		if got < 0.74 || got > 0.82 {
			t.Errorf("line %d is cut for %.3f of its length", i, got)
		}
	}
}

// Scores may be half cut the same way, at the true size of an enlarged part.
func TestPerforateScores(t *testing.T) {
	d := sheetOf(t, ScoreMountain, path(t, "M0 0 H41"))
	d.Parts[0].Place = geom.Scale(2)
	out, err := ExpandPerforations(d, Perforation{Cut: 2, Tie: 2, Operations: []Operation{ScoreMountain, ScoreValley}})
	if err != nil {
		t.Fatal(err)
	}
	// 82 mm: 20 dashes of 2 and 21 ties of 2.
	if got := lengths(out, Cut); len(out.Parts[0].Marks[0].Path) != 20 || math.Abs(got-40) > 1e-9 {
		t.Errorf("%d dashes, %g mm", len(out.Parts[0].Marks[0].Path), got)
	}
	var bad *OptionError
	if _, err := ExpandPerforations(d, Perforation{Cut: -1}); !errors.As(err, &bad) || bad.Field != "cut" {
		t.Error(err)
	}
	if _, err := ExpandPerforations(d, Perforation{Tie: math.Inf(1)}); !errors.As(err, &bad) || bad.Field != "tie" {
		t.Error(err)
	}
}
