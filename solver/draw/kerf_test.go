package draw

import (
	"errors"
	"math"
	"testing"

	"foldwright/solver/geom"
)

// sheetOf is a drawing of one part with one mark for each path.
func sheetOf(t testing.TB, op Operation, paths ...geom.Path) *Drawing {
	t.Helper()
	p := Part{ID: "quay", Place: geom.Identity}
	for i, q := range paths {
		p.Marks = append(p.Marks, Mark{Op: op, Path: q, ID: string(rune('a' + i))})
	}
	return &Drawing{Box: geom.Box2{Min: v(-200, -200), Max: v(400, 400)}, Parts: []Part{p}}
}

// Sizes in closed form. For an outline with convex corners offset by d, area
// A + P·d + π·d² and length P + 2π·d (Steiner); a concave right corner takes
// back d² of area, and of length 2d and the quarter circle beyond a full turn.
func TestCompensateClosedForms(t *testing.T) {
	const kerf = 0.2
	const d = kerf / 2
	round := path(t, "M0 0 H40 V20 H0 Z")
	rows := []struct {
		name         string
		path         geom.Path
		hole         bool // inside a large outline
		area, length float64
	}{
		{"rectangle", round, false, 800 + 120*d + math.Pi*d*d, 120 + 2*math.Pi*d},
		{"rectangle clockwise", round.Reverse(), false, 800 + 120*d + math.Pi*d*d, 120 + 2*math.Pi*d},
		{"circle", geom.Circle(v(5, 5), 10), false, math.Pi * (10 + d) * (10 + d), 2 * math.Pi * (10 + d)},
		// Sides 30, 30, less a 20 by 20 notch: area 500, perimeter 120; five
		// convex corners and a concave one.
		{"concave L", path(t, "M0 0 H30 V10 H10 V30 H0 Z"), false, 500 + 120*d + 5*math.Pi/4*d*d - d*d, 120 - 2*d + 5*math.Pi/2*d},
		{"rounded rectangle", geom.RoundedRect(0, 0, 40, 20, 3), false,
			800 - (4-math.Pi)*9 + (120-24+6*math.Pi)*d + math.Pi*d*d, 120 - 24 + 6*math.Pi + 2*math.Pi*d},
		{"turned square", geom.Rect(0, 0, 10, 10).Transform(geom.Turn(geom.Degrees(31))), false, 100 + 40*d + math.Pi*d*d, 40 + 2*math.Pi*d},
		{"square hole", geom.Rect(0, 0, 10, 10), true, (10 - kerf) * (10 - kerf), 4 * (10 - kerf)},
		{"round hole", geom.Circle(v(0, 0), 2), true, math.Pi * (2 - d) * (2 - d), 2 * math.Pi * (2 - d)},
		{"slot", geom.RoundedRect(0, 0, 1, 20, 0.5), true, (1-kerf)*19 + math.Pi*0.16, 38 + 2*math.Pi*0.4},
		{"small fillet", geom.RoundedRect(0, 0, 10, 10, 0.05), true, (10 - kerf) * (10 - kerf), 4 * (10 - kerf)},
		// Five corners of the L now lie on the inner side: each loses its
		// strip's square; the concave one of the hole becomes an arc.
		{"L hole", path(t, "M0 0 H30 V10 H10 V30 H0 Z"), true, 500 - 120*d + 5*d*d - math.Pi/4*d*d, 120 - 10*d + math.Pi/2*d},
	}
	for _, r := range rows {
		paths := []geom.Path{r.path}
		if r.hole {
			paths = append(paths, geom.Rect(-100, -100, 200, 200))
		}
		before := r.path.String()
		drawing := sheetOf(t, Cut, paths...)
		out, findings, err := Compensate(drawing, kerf)
		if err != nil || len(findings) != 0 {
			t.Errorf("%s: %v, %v", r.name, findings, err)
			continue
		}
		got := out.Parts[0].Marks[0].Path
		if len(got) != 1 || math.Abs(math.Abs(got.Area())-r.area) > 1e-3 || math.Abs(got.Length()-r.length) > 1e-3 {
			t.Errorf("%s: %d rings, area %.5f want %.5f, length %.5f want %.5f", r.name, len(got), got.Area(), r.area, got.Length(), r.length)
		}
		if drawing.Parts[0].Marks[0].Path.String() != before {
			t.Errorf("%s: the drawing given has changed", r.name)
		}
	}
}

// Every point of the path is half a kerf from the outline, and cutting along
// it with a round beam leaves the outline: curves and turned places included.
func TestCompensateDistance(t *testing.T) {
	const kerf = 0.3
	d := harbour(t)
	out, findings, err := Compensate(d, kerf)
	if err != nil || len(findings) != 0 {
		t.Fatal(findings, err)
	}
	for i := range d.Parts {
		for j, m := range d.Parts[i].Marks {
			moved := out.Parts[i].Marks[j]
			if m.Op != Cut {
				if moved.Path.String() != m.Path.String() {
					t.Errorf("%s %s must stay", m.Op, m.ID)
				}
				continue
			}
			rim := m.Path.Flatten(0.001)
			for _, ring := range moved.Path.Flatten(0.001) {
				for k, q := range ring {
					q = q.Lerp(ring[(k+1)%len(ring)], 0.5)
					near := math.Inf(1)
					for _, r := range rim {
						near = min(near, geom.PolygonDistance(r, q))
					}
					if math.Abs(near-kerf/2) > kerfFlatness+0.003 {
						t.Fatalf("%s %s: %v is %.4f from the outline", d.Parts[i].ID, m.ID, q, near)
					}
					hole := m.ID == "slot" || m.ID == "door"
					if geom.RingsContain(rim, q) != hole {
						t.Fatalf("%s %s: %v is on the wrong side", d.Parts[i].ID, m.ID, q)
					}
				}
			}
		}
	}
	// The slot's arcs stay arcs.
	arcs := 0
	for _, s := range out.Parts[0].Marks[2].Path[0].Segments {
		if s.Kind == geom.Arc {
			arcs++
		}
	}
	if arcs < 4 {
		t.Errorf("%d arcs in the slot", arcs)
	}
}

func TestCompensateFindings(t *testing.T) {
	outline := geom.Rect(-100, -100, 200, 200)
	rows := []struct {
		name  string
		paths []geom.Path
		code  CutCode
		mark  string
	}{
		{"slit of 0.1", []geom.Path{geom.Rect(0, 0, 0.1, 20), outline}, HoleLost, "a"},
		{"hole with a neck", []geom.Path{path(t, "M0 0 H10 V4.95 H20 V0 H30 V10 H20 V5.05 H10 V10 H0 Z"), outline}, HoleSplit, "a"},
		{"keyhole bay", []geom.Path{path(t, "M0 0 H40 V30 H20.05 V20 H25 V10 H15 V20 H19.95 V30 H0 Z")}, GapClosed, "a"},
	}
	for _, r := range rows {
		_, findings, err := Compensate(sheetOf(t, Cut, r.paths...), 0.2)
		if err != nil || len(findings) != 1 || findings[0].Code != r.code || findings[0].Mark != r.mark || findings[0].Message == "" {
			t.Errorf("%s: %+v, %v", r.name, findings, err)
		}
	}
	var bad *OptionError
	if _, _, err := Compensate(harbour(t), -1); !errors.As(err, &bad) {
		t.Errorf("%v", err)
	}
	same, _, err := Compensate(harbour(t), 0)
	if err != nil || string(svg(t, same, SVGOptions{})) != string(svg(t, harbour(t), SVGOptions{})) {
		t.Error("no kerf, no change")
	}
}

// An island in a hole is an outline again, and an enlarged part is compensated
// by the kerf of the machine, not by an enlarged one.
func TestCompensateDepthAndScale(t *testing.T) {
	d := sheetOf(t, Cut, geom.Rect(0, 0, 50, 50), geom.Rect(10, 10, 40, 40), geom.Rect(20, 20, 30, 30))
	d.Parts[0].Place = geom.Scale(2)
	out, _, err := Compensate(d, 0.4)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{100.4, 59.6, 20.4} {
		if got := out.Parts[0].Marks[i].Path.Transform(out.Parts[0].Place).Bounds().Size(); math.Abs(got.X-want) > 1e-3 || math.Abs(got.Y-want) > 1e-3 {
			t.Errorf("ring %d is %v wide, want %g", i, got, want)
		}
	}
}

func TestCheckCuts(t *testing.T) {
	sheet := geom.Rect(0, 0, 100, 60)
	limits := CutLimits{MinWeb: 2, MinRadius: 0.3}
	rows := []struct {
		name   string
		paths  []geom.Path
		code   CutCode // "" for none
		amount float64
		at     geom.Vec2
	}{
		{"plain sheet", []geom.Path{sheet}, "", 0, v(0, 0)},
		{"slots 1.5 apart", []geom.Path{sheet, geom.Rect(20, 10, 22, 40), geom.Rect(23.5, 10, 25, 40)}, WebTooThin, 1.5, v(22.75, 25)},
		{"slot near the edge", []geom.Path{sheet, geom.Rect(20, 1, 40, 3)}, WebTooThin, 1, v(30, 0.5)},
		{"slots 2 apart", []geom.Path{sheet, geom.Rect(20, 10, 22, 40), geom.Rect(24, 10, 25, 40)}, "", 0, v(0, 0)},
		{"narrow slot is no web", []geom.Path{sheet, geom.Rect(20, 10, 20.5, 40)}, "", 0, v(0, 0)},
		{"neck of a figure", []geom.Path{path(t, "M0 0 H20 V9.5 H30 V0 H50 V20 H30 V10.5 H20 V20 H0 Z")}, WebTooThin, 1, v(25, 10)},
		{"sharp corner is no web", []geom.Path{path(t, "M0 0 L40 8 L0 16 Z")}, "", 0, v(0, 0)},
		{"thin strip", []geom.Path{geom.Rect(0, 0, 60, 1.2)}, WebTooThin, 1.2, v(30, 0.6)},
		{"tight bend", []geom.Path{geom.RoundedRect(0, 0, 50, 50, 0.2)}, RadiusTooSmall, 0.2, v(0, 0)},
	}
	for _, r := range rows {
		got, err := CheckCuts(sheetOf(t, Cut, r.paths...), limits)
		if err != nil {
			t.Fatal(err)
		}
		if r.code == "" {
			if len(got) != 0 {
				t.Errorf("%s: %+v", r.name, got)
			}
			continue
		}
		if len(got) != 1 || got[0].Code != r.code || math.Abs(got[0].Amount-r.amount) > 1e-6 {
			t.Errorf("%s: %+v", r.name, got)
		} else if r.at != v(0, 0) && got[0].At.Sub(r.at).Norm() > 1e-6 {
			t.Errorf("%s: at %v", r.name, got[0].At)
		}
	}
	if got, err := CheckCuts(harbour(t), CutLimits{}); err != nil || len(got) != 0 {
		t.Errorf("no limits: %v, %v", got, err)
	}
}
