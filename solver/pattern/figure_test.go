package pattern

import (
	"math"
	"strings"
	"testing"

	"foldwright/solver/geom"
)

// figureOn is a figure on the right page, 500 mm square, with its origin at
// (100, 100) of the page.
func figureOn(fields string) string {
	return one(`{"id":"lamp","kind":"figure","on":{"panel":"page.right"},"place":{"u":100,"v":100},` + fields + `}`)
}

func kinds(p geom.Path) map[geom.SegmentKind]int {
	n := map[geom.SegmentKind]int{}
	for i := range p {
		for _, s := range p[i].Segments {
			n[s.Kind]++
		}
		if p[i].End() != p[i].Start {
			n[geom.Line]++ // the closing line
		}
	}
	return n
}

// A half disc of radius 7 on a rectangle of 14 by 14, tab 8 by 6 below it.
func TestFigureTabJoinsTheOutline(t *testing.T) {
	_, p := cleanPattern(t, figureOn(`"outline":"M0 0 H14 V14 A7 7 0 0 1 0 14 Z","fix":"tab_in_slot","tab":{"at":7,"width":8,"depth":6}`))
	lamp, page := p.Part("lamp"), p.Part("page")
	approx(t, "area", lamp.Area(), 14*14+math.Pi*49/2+8*6, 1e-2)
	approx(t, "cut length", lamp.CutLength(), 3*14+math.Pi*7+2*6, 1e-2)
	near(t, "size", lamp.Size(), geom.Vec2{X: 14, Y: 14 + 7 + 6}, 1e-3)
	if n := kinds(lamp.Outline); n[geom.Arc] == 0 || n[geom.Line] != 7 {
		t.Errorf("segments %v, want the arc and 7 lines", n)
	}
	for _, s := range lamp.Outline[0].Segments {
		if s.Kind == geom.Arc && (math.Abs(s.RX-7) > 1e-9 || math.Abs(s.RY-7) > 1e-9) {
			t.Errorf("an arc of radius %g by %g, want 7", s.RX, s.RY)
		}
	}
	if len(lamp.Creases) != 0 {
		t.Errorf("creases %+v in a flat tab", lamp.Creases)
	}
	tab, mark := lamp.glue("A"), page.glue("A")
	approx(t, "glue on the tab", tab.Path.Area(), 8*6, 1e-9)
	approx(t, "glue behind the page", mark.Path.Area(), 8*6, 1e-3)
	if tab.OnBack || !mark.OnBack {
		t.Errorf("tab on back %v, mark on back %v; the tab's front meets the page's back", tab.OnBack, mark.OnBack)
	}
	// On the right page u runs up and v across: the line v = 0 of the figure
	// stands at x = 100, the tab hangs towards the gutter.
	slot := page.Slots[0].Path.Bounds()
	near(t, "slot", slot.Center(), geom.Vec2{X: 100, Y: 107}, 1e-9)
	near(t, "slot size", slot.Size(), geom.Vec2{X: 0.3 + 0.2, Y: 8 + 0.7}, 1e-9)
	near(t, "mark", mark.Path.Bounds().Center(), geom.Vec2{X: 97, Y: 107}, 1e-3)
}

func TestGluedFigureIsMarkedWhereItLies(t *testing.T) {
	// Half of the square lies across the gutter, on no page of its own.
	_, p := cleanPattern(t, one(`{"id":"net","kind":"figure","on":{"panel":"page.left"},"place":{"u":50,"v":0},"outline":"M0 -10 H20 V10 H0 Z"}`))
	net, page := p.Part("net"), p.Part("page")
	approx(t, "figure", net.Area(), 400, 1e-9)
	mark := page.glue("A")
	approx(t, "mark", mark.Path.Area(), 200, 1e-2)
	near(t, "where", mark.Path.Bounds().Center(), geom.Vec2{X: -5, Y: 60}, 1e-3)
	if mark.OnBack || !net.glue("A").OnBack {
		t.Error("the figure's back is glued to the page's front")
	}
	approx(t, "glue on the figure", net.glue("A").Path.Area(), 200, 1e-2)
}

// A panel seen mirrored shows its figure mirrored: the flag on the left panel
// of a V flies to the other side.
func TestFigureIsSeenAsItsPanelIs(t *testing.T) {
	const document = `{"id":"boat","kind":"v_fold","on":{"fold":"gutter"},"at":100,"left":{"base_angle":60,"panel_angle":90,"base_length":70},"ridge_length":85},
		{"id":"flag","kind":"figure","on":{"panel":"boat.SIDE"},"place":{"u":10,"v":10},"outline":"M0 0 H9 L0 6 Z"}`
	for side, tip := range map[string]float64{"right": 9, "left": -9} {
		_, p := cleanPattern(t, one(strings.Replace(document, "SIDE", side, 1)))
		flag := p.Part("flag")
		far := 0.0
		for _, q := range flag.Outline.Flatten(flatTolerance)[0] {
			if math.Abs(q.X) > math.Abs(far) {
				far = q.X
			}
		}
		approx(t, "tip of the flag on the "+side, far, tip, 1e-9)
		// The mark lies the same way as the flag and where its panel is.
		mark := p.Part("boat").glue("C").Path.Bounds()
		if (mark.Center().X > 0) != (side == "right") {
			t.Errorf("mark of the flag on the %s lies at %v", side, mark.Center())
		}
	}
}

// A figure that covers its tab and the web around it has the tab cut from it as
// a tongue: three sides, no paper added.
func TestTongue(t *testing.T) {
	_, p := cleanPattern(t, figureOn(`"outline":"M-10 -20 H30 V10 H-10 Z","fix":"tab_in_slot","tab":{"at":10,"width":12,"depth":8}`))
	lamp := p.Part("lamp")
	approx(t, "area", lamp.Area(), 40*30, 1e-9)
	if len(lamp.Cuts) != 1 || lamp.Cuts[0].Closed {
		t.Fatalf("cuts %+v, want one open line", lamp.Cuts)
	}
	approx(t, "cut", lamp.Cuts.Length(), 2*8+12, 1e-9)
	if ends := lamp.Cuts[0]; ends.Start.Y != 0 || ends.End().Y != 0 {
		t.Errorf("the tongue hangs from %v and %v, want the line v = 0", ends.Start, ends.End())
	}
	approx(t, "glue", lamp.glue("A").Path.Area(), 12*8, 1e-9)
	if len(p.Part("page").Slots) != 1 {
		t.Error("no slot for the tongue")
	}
}

func TestFigureHolesStay(t *testing.T) {
	_, p := cleanPattern(t, figureOn(`"outline":"M0 0 H30 V20 H0 Z M5 5 H10 V10 H5 Z M20 10 A3 3 0 0 0 26 10 A3 3 0 0 0 20 10 Z","fix":"tab_in_slot","tab":{"at":15}`))
	lamp := p.Part("lamp")
	if len(lamp.Holes) != 2 {
		t.Fatalf("%d holes, want 2", len(lamp.Holes))
	}
	approx(t, "area", lamp.Area(), 600-25-9*math.Pi+10*8, 1e-2)
	approx(t, "cut length", lamp.CutLength(), 100+2*8+20+6*math.Pi, 1e-2)
	if lamp.Holes.Area() >= 0 {
		t.Error("holes do not run clockwise")
	}
	if n := kinds(lamp.Holes); n[geom.Arc] == 0 {
		t.Error("the round hole has lost its arcs")
	}
}

func TestFigureProblems(t *testing.T) {
	for _, row := range []struct {
		name, fields, pointer string
		code                  Code
	}{
		{"tab beside the figure", `"outline":"M0 0 H10 V10 H0 Z","fix":"tab_in_slot","tab":{"at":30}`, "/mechanisms/0/tab/at", CodeTabNotJoined},
		{"figure above its line", `"outline":"M0 3 H20 V10 H0 Z","fix":"tab_in_slot","tab":{"at":10}`, "/mechanisms/0/tab/at", CodeTabNotJoined},
		{"a third of the tab joined", `"outline":"M0 0 H10 V10 H0 Z","fix":"tab_in_slot","tab":{"at":11.5,"width":9}`, "/mechanisms/0/tab/at", CodeTabNotJoined},
		{"figure over its tab", `"outline":"M0 -9.5 H20 V10 H0 Z","fix":"tab_in_slot","tab":{"at":10}`, "/mechanisms/0/tab", CodeTabInFigure},
		{"two pieces", `"outline":"M0 0 H10 V10 H0 Z M20 0 H25 V5 H20 Z"`, "/mechanisms/0/outline", CodePieces},
		{"an island in a hole", `"outline":"M0 0 H30 V30 H0 Z M5 5 H25 V25 H5 Z M10 10 H20 V20 H10 Z"`, "/mechanisms/0/outline", CodePieces},
	} {
		p := mustMake(t, assembly(t, figureOn(row.fields)), DefaultOptions())
		if len(p.Problems) != 1 || p.Problems[0].Code != row.code || p.Problems[0].Pointer != row.pointer || p.Problems[0].Mechanism != 0 {
			t.Errorf("%s: problems %+v, want %s at %s", row.name, p.Problems, row.code, row.pointer)
		}
	}
	p := mustMake(t, assembly(t, one(`{"id":"net","kind":"figure","on":{"panel":"page.left"},"place":{"v":-50},"outline":"M0 0 H20 V10 H0 Z"}`)), DefaultOptions())
	if len(p.Problems) != 1 || p.Problems[0].Code != CodeOffPanel || len(p.Joints) != 0 {
		t.Errorf("figure off its page: %+v", p)
	}
	p = mustMake(t, assembly(t, one(`{"id":"net","kind":"figure","on":{"panel":"page.left"},"place":{"u":-5,"v":50},"outline":"M0 0 H20 V10 H0 Z","fix":"tab_in_slot","tab":{"at":5}}`)), DefaultOptions())
	if len(p.Problems) != 1 || p.Problems[0].Code != CodeSlotOffPanel {
		t.Errorf("slot across the foot of the page: %+v", p.Problems)
	}
}

func TestCodesAreListedOnce(t *testing.T) {
	seen := map[Code]bool{}
	for _, c := range Codes() {
		if seen[c] || c == "" {
			t.Errorf("code %q is empty or listed twice", c)
		}
		seen[c] = true
	}
}
