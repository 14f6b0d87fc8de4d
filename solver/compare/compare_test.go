package compare

import (
	"fmt"
	"math"
	"testing"

	"foldwright/solver/check"
	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/pattern"
)

// quay is a spread with a tent 18 long, its base lines 22 from the gutter.
func quay(t *testing.T, width float64, more string) *kinematics.Assembly {
	t.Helper()
	d, err := design.Decode(fmt.Appendf(nil, `{"spread":{"page_width":130,"page_height":180},"mechanisms":[
		{"id":"quay","kind":"parallel_fold","on":{"fold":"gutter"},"from":8,"to":26,"left":{"base_offset":22,"panel_width":%g}}%s]}`, width, more))
	if err != nil {
		t.Fatal(err)
	}
	return kinematics.Compile(d)
}

const gull = `,{"id":"gull","kind":"v_fold","on":{"fold":"gutter"},"at":90,"left":{"base_angle":55,"panel_angle":75,"base_length":40},"ridge_length":40}`

func never() bool { return false }

// Source: with its base lines a from the gutter a tent of panels p stands
// √(p²-a²) high on the open spread, and a+p when shut.
func TestMeasuresOfAHigherTent(t *testing.T) {
	openings := []geom.Angle{0, math.Pi}
	for _, m := range Measures(quay(t, 34, ""), quay(t, 36, ""), openings, never) {
		if m.ID != "height" {
			continue
		}
		for k, want := range [][2]float64{{56, 58}, {math.Sqrt(34*34 - 22*22), math.Sqrt(36*36 - 22*22)}} {
			if math.Abs(m.Before[k]-want[0]) > 1e-9 || math.Abs(m.After[k]-want[1]) > 1e-9 {
				t.Errorf("%g and %g high at %g degrees, want %g", m.Before[k], m.After[k], openings[k].Degrees(), want)
			}
		}
		if m.Change != Changed || m.Greatest != 1 {
			t.Errorf("it is %s, most at %d", m.Change, m.Greatest)
		}
		return
	}
	t.Error("the height is not among what changed")
}

func TestNothingChanged(t *testing.T) {
	a, b := quay(t, 34, gull), quay(t, 34, gull)
	if m := Measures(a, b, []geom.Angle{0, 1, 2, 3}, never); len(m) > 0 {
		t.Errorf("measures %+v", m)
	}
	if f := Findings(a.Design, b.Design, check.Design(a), check.Design(b)); len(f) > 0 {
		t.Errorf("findings %+v", f)
	}
	if p := Parts(a, b, parts(t, a), parts(t, b)); len(p) > 0 {
		t.Errorf("parts %+v", p)
	}
}

// What is on one side only is named, the other way round the other way.
func TestAddedAndRemoved(t *testing.T) {
	without, with := quay(t, 34, ""), quay(t, 34, gull)
	for _, row := range []struct {
		before, after *kinematics.Assembly
		want          Change
	}{{without, with, Added}, {with, without, Removed}} {
		seen := false
		for _, m := range Measures(row.before, row.after, []geom.Angle{1}, never) {
			seen = seen || m.ID == "fold.gull.ridge" && m.Change == row.want
		}
		if !seen {
			t.Errorf("the fold of the gull's ridge is not %s", row.want)
		}
		seen = false
		for _, p := range Parts(row.before, row.after, parts(t, row.before), parts(t, row.after)) {
			seen = seen || p.ID == "gull" && p.Change == row.want
		}
		if !seen {
			t.Errorf("the part of the gull is not %s", row.want)
		}
	}
}

// Panels 2 mm wider on a tent 18 long take 2·2·18 mm² more paper, and the marks
// on the page stay where they are.
func TestPartsOfAWiderTent(t *testing.T) {
	a, b := quay(t, 34, ""), quay(t, 36, "")
	list := Parts(a, b, parts(t, a), parts(t, b))
	if len(list) != 1 || list[0].ID != "quay" || list[0].Change != Changed {
		t.Fatalf("%+v", list)
	}
	p := &list[0]
	if grown := p.Gained - p.Lost; math.Abs(grown-72) > 1e-6 || p.After.Area()-p.Before.Area()-grown > 1e-6 {
		t.Errorf("grew by %g mm², want 72", grown)
	}
	if !p.Scores || p.Holes || p.Slots {
		t.Errorf("scores %t, holes %t, slots %t", p.Scores, p.Holes, p.Slots)
	}
}

// Source: a tent is stretched when p < a; a page of 60 is overhung by a+p-60.
func TestFindingsThatComeGoAndGrow(t *testing.T) {
	codes := func(list []Finding, change Change) (out []finding.Code) {
		for _, f := range list {
			if f.Change == change {
				out = append(out, map[bool]*finding.Finding{true: f.Before, false: f.After}[change == Removed].Code)
			}
		}
		return out
	}
	compared := func(before, after float64) []Finding {
		a, b := quay(t, before, ""), quay(t, after, "")
		return Findings(a.Design, b.Design, check.Design(a), check.Design(b))
	}
	if got := codes(compared(34, 18), Added); len(got) == 0 || got[0] != finding.CannotOpenFully {
		t.Errorf("too tight: %v came", got)
	}
	if got := codes(compared(18, 34), Removed); len(got) == 0 || got[0] != finding.CannotOpenFully {
		t.Errorf("no longer too tight: %v went", got)
	}
	grown := compared(120, 122)
	if got := codes(grown, Changed); len(got) != 1 || got[0] != finding.OutsidePageWhenShut {
		t.Fatalf("further out: %v changed", got)
	}
	if got := grown[0].After.Amount.Value - grown[0].Before.Amount.Value; math.Abs(got-2) > 1e-9 {
		t.Errorf("further out by %g, want 2", got)
	}
}

func parts(t *testing.T, a *kinematics.Assembly) *pattern.Pattern {
	t.Helper()
	p, err := pattern.Make(a, pattern.DefaultOptions())
	if err != nil {
		t.Fatal(err)
	}
	return p
}
