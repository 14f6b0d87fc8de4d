package pattern

import (
	"math"
	"strings"
	"testing"

	"foldwright/solver/draw"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// windows is a figure of 40 by 30 mm with two square windows of 10 mm, side by
// side with the given paper between them.
func windows(between string) string {
	return one(`{"id":"house","kind":"figure","on":{"panel":"page.left"},"place":{"u":60,"v":60},
		"outline":"M0 0 H40 V30 H0 Z M5 10 V20 H15 V10 Z M15 10 m` + between + ` 0 v10 h10 v-10 z"}`)
}

func problemsOf(p *Pattern, code Code) (list []Problem) {
	for _, f := range p.Problems {
		if f.Code == code {
			list = append(list, f)
		}
	}
	return list
}

func TestNarrowWebBetweenWindows(t *testing.T) {
	a := assembly(t, windows("1.5"))
	p := mustMake(t, a, DefaultOptions())
	found := problemsOf(p, CodeNarrowWeb)
	if len(p.Problems) != 1 || len(found) != 1 || found[0].Mechanism != 0 || found[0].Pointer != "/mechanisms/0" {
		t.Fatalf("%+v", p.Problems)
	}
	approx(t, "short by", found[0].Amount.Value, 0.5, 1e-6)

	o := DefaultOptions()
	o.MinWeb = 1 // a laser's
	if p := mustMake(t, a, o); len(p.Problems) > 0 {
		t.Errorf("%+v", p.Problems)
	}
	if p := mustMake(t, assembly(t, windows("2.5")), DefaultOptions()); len(p.Problems) > 0 {
		t.Errorf("%+v", p.Problems)
	}
}

// A narrow web that is told of where the cut is made is not told of twice.
func TestNarrowWebIsToldOnce(t *testing.T) {
	for name, document := range fullDesigns() {
		if name != "wheels_in_one_place" {
			continue
		}
		seen := map[string]bool{}
		p := mustMake(t, assembly(t, document), DefaultOptions())
		for _, f := range problemsOf(p, CodeNarrowWeb) {
			if strings.Contains(f.Detail, "between cuts") {
				t.Errorf("told again: %+v", f)
			}
			if seen[f.Detail] {
				t.Errorf("twice: %+v", f)
			}
			seen[f.Detail] = true
		}
	}
}

func TestTightBendAndKerf(t *testing.T) {
	figure := one(`{"id":"lamp","kind":"figure","on":{"panel":"page.left"},"place":{"u":60,"v":60},
		"outline":"M0 0 H30 V30 H0 Z M10 10 a0.2 0.2 0 1 0 0.4 0 a0.2 0.2 0 1 0 -0.4 0 Z"}`)
	p := mustMake(t, assembly(t, figure), DefaultOptions())
	found := problemsOf(p, CodeTightBend)
	if len(found) != 1 {
		t.Fatalf("%+v", p.Problems)
	}
	approx(t, "too tight by", found[0].Amount.Value, 0.1, 1e-9)

	o := DefaultOptions()
	o.MinRadius, o.Finish.Kerf = 0, 0.5 // the hole is 0.4 mm wide
	p = mustMake(t, assembly(t, figure), o)
	if len(p.Problems) != 1 || p.Problems[0].Code != CodeHoleLost {
		t.Fatalf("%+v", p.Problems)
	}
	d, err := p.Finished("lamp")
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range d.Parts {
		if part.ID == "lamp" {
			box := geom.EmptyBox()
			for _, m := range part.Marks {
				if m.Op == draw.Cut {
					box = box.Union(m.Path.Bounds())
				}
			}
			approx(t, "width with the kerf", box.Size().X, 30.5, 1e-9)
		}
	}
}

// What stands beside the page's own cuts is of the spread.
func TestProblemsOfThePage(t *testing.T) {
	a := assembly(t, one(slotted))
	m := newMaker(a, DefaultOptions())
	m.Parts = []Part{{ID: "page", Name: "page"}}
	m.cutProblem(0, &draw.CutFinding{Code: draw.RadiusTooSmall, Mark: "outline", Amount: 0.1, Limit: 0.3})
	if f := m.Problems[0]; f.Mechanism != kinematics.Spread || f.Pointer != "/spread" {
		t.Errorf("%+v", f)
	}
}

func TestWithoutNeedles(t *testing.T) {
	for _, row := range []struct{ name, path, want string }{
		{"needle out", "M0 0 H20 V10 L20.04 30 L19.95 10 H0 Z", "M0 0 H20 V10 H0 Z"},
		{"crack in", "M0 0 H20 V5 L5 5.03 L20 5.06 V10 H0 Z", "M0 0 H20 V10 H0 Z"},
		{"flat crack", "M0 0 H20 V5 H5 V5.05 H20 V10 H0 Z", "M0 0 H20 V10 H0 Z"},
		{"a gap wide enough", "M0 0 H20 V5 H5 V5.2 H20 V10 H0 Z", "M0 0 H20 V5 H5 V5.2 H20 V10 H0 Z"},
		{"a narrow sail", "M0 0 H3 L1.5 50 Z", "M0 0 H3 L1.5 50 Z"},
		{"curves stay", "M0 0 H20 V10 A10 10 0 0 1 0 10 Z", "M0 0 H20 V10 A10 10 0 0 1 0 10 Z"},
	} {
		shape, err := geom.ParsePath(row.path)
		if err != nil {
			t.Fatal(err)
		}
		want, err := geom.ParsePath(row.want)
		if err != nil {
			t.Fatal(err)
		}
		got := geom.Path{withoutNeedles(shape[0])}
		if math.Abs(got.Area()-want.Area()) > 0.6 || math.Abs(got.Length()-want.Length()) > 0.2 {
			t.Errorf("%s: %s", row.name, geom.FormatPath(got, 4))
		}
	}
}
