package pattern

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"pgregory.net/rapid"
)

// harbour has every kind, hosts of every sort, and both ways to fix a tab.
const harbour = `{
  "title": "Harbour morning",
  "paper": {"caliper": 0.3},
  "spread": {"page_width": 130, "page_height": 180, "corner_radius": 4, "margin": 5},
  "mechanisms": [
    {"id": "lighthouse", "kind": "v_fold", "on": {"fold": "gutter"}, "at": 100,
     "left": {"base_angle": 55, "panel_angle": 90, "base_length": 70}, "ridge_length": 85},
    {"id": "quay", "kind": "parallel_fold", "on": {"fold": "gutter"}, "from": 8, "to": 26,
     "left": {"base_offset": 22, "panel_width": 34}},
    {"id": "gangway", "kind": "strap", "on": {"fold": "gutter"}, "from": 60, "to": 75,
     "left_offset": 30, "right_offset": 20, "joint": {"fix": "slot", "tab_side": "outer"}},
    {"id": "gull", "kind": "v_fold", "on": {"fold": "lighthouse.left_base", "side": "outer"}, "at": 30,
     "left": {"base_angle": 50, "panel_angle": 75, "base_length": 25}, "ridge_length": 30},
    {"id": "buoy", "kind": "v_fold", "on": {"fold": "lighthouse.ridge"}, "at": 40,
     "left": {"base_angle": 60, "panel_angle": 80, "base_length": 18}, "ridge_length": 16},
    {"id": "lamp", "kind": "figure", "on": {"panel": "lighthouse.right"},
     "outline": "M0 0 H14 V14 A7 7 0 0 1 0 14 Z", "place": {"u": 18, "v": 20, "rotate": 0},
     "fix": "tab_in_slot", "tab": {"at": 7, "width": 8, "depth": 6}},
    {"id": "crab", "kind": "figure", "on": {"panel": "quay.left"},
     "outline": "M0 0 A6 6 0 0 1 12 0 A6 6 0 0 1 0 0 Z M4 0 H8 V2 H4 Z", "place": {"u": 3, "v": 12}}
  ]
}`

func assembly(t rapid.TB, document string) *kinematics.Assembly {
	t.Helper()
	d, err := design.Decode([]byte(document))
	if err != nil {
		t.Fatal(err)
	}
	return kinematics.Compile(d)
}

func mustMake(t rapid.TB, a *kinematics.Assembly, o Options) *Pattern {
	t.Helper()
	p, err := Make(a, o)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// cleanPattern makes a pattern that must have no problems.
func cleanPattern(t rapid.TB, document string) (*kinematics.Assembly, *Pattern) {
	t.Helper()
	a := assembly(t, document)
	p := mustMake(t, a, DefaultOptions())
	for _, problem := range p.Problems {
		t.Errorf("unexpected problem: %+v", problem)
	}
	return a, p
}

// cleanPatternBut makes a pattern with no problems but of one code.
func cleanPatternBut(t rapid.TB, code Code, document string) (*kinematics.Assembly, *Pattern) {
	t.Helper()
	a := assembly(t, document)
	p := mustMake(t, a, DefaultOptions())
	for _, problem := range p.Problems {
		if problem.Code != code {
			t.Errorf("unexpected problem: %+v", problem)
		}
	}
	return a, p
}

// one is a design of one mechanism on a page large enough to hold it.
func one(mechanism string) string {
	return fmt.Sprintf(`{"spread":{"page_width":500,"page_height":500},"mechanisms":[%s]}`, mechanism)
}

func approx(t rapid.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.9g, want %.9g within %g", what, got, want, tol)
	}
}

func near(t rapid.TB, what string, got, want geom.Vec2, tol float64) {
	t.Helper()
	if !(got.Sub(want).Norm() <= tol) {
		t.Errorf("%s = %v, want %v within %g", what, got, want, tol)
	}
}

func (p *Part) glue(label string) *GlueArea {
	for i := range p.Glue {
		if p.Glue[i].Label == label {
			return &p.Glue[i]
		}
	}
	return nil
}

// tab and mark are the two sides of a joint, which may be on one part.
func (p *Part) tab(label string) *GlueArea  { return p.side(label, true) }
func (p *Part) mark(label string) *GlueArea { return p.side(label, false) }

func (p *Part) side(label string, tab bool) *GlueArea {
	for i := range p.Glue {
		if p.Glue[i].Label == label && p.Glue[i].Tab == tab {
			return &p.Glue[i]
		}
	}
	return nil
}

// jointed tells whether a fold is glued.
func (p *Pattern) jointed(id string) bool {
	return slices.ContainsFunc(p.Joints, func(j Joint) bool { return j.ID == id })
}

func (p *Part) crease(id string) *Crease {
	for i := range p.Creases {
		if p.Creases[i].ID == id {
			return &p.Creases[i]
		}
	}
	return nil
}

func TestPartsOfTheHarbour(t *testing.T) {
	_, p := cleanPattern(t, harbour)
	want := []string{"page", "lighthouse", "quay", "gangway", "gull", "buoy", "lamp", "crab"}
	if len(p.Parts) != len(want) {
		t.Fatalf("%d parts, want %d", len(p.Parts), len(want))
	}
	for i, id := range want {
		if p.Parts[i].ID != id || p.Parts[i].Count != 1 {
			t.Errorf("part %d is %q, count %d; want %q, count 1", i, p.Parts[i].ID, p.Parts[i].Count, id)
		}
	}
	// Ten base lines and two figures.
	if len(p.Joints) != 12 {
		t.Fatalf("%d joints, want 12", len(p.Joints))
	}
	for i, j := range p.Joints {
		if j.Label != string(rune('A'+i)) {
			t.Errorf("joint %d is lettered %q", i, j.Label)
		}
		mine, its := p.Part(j.Part).tab(j.Label), p.Part(j.Host).mark(j.Label)
		if mine == nil || its == nil {
			t.Errorf("joint %s is not marked on both %s and %s", j.Label, j.Part, j.Host)
			continue
		}
		if mine.Part != j.Host || its.Part != j.Part {
			t.Errorf("joint %s: marks point to %s and %s", j.Label, mine.Part, its.Part)
		}
		// The tab in a slot is cut off by nothing here, so both marks are one shape.
		approx(t, "area of mark "+j.Label, its.Path.Area(), mine.Path.Area(), 1e-6)
		approx(t, "edge of mark "+j.Label, its.Path.Length(), mine.Path.Length(), 1e-6)
	}
}

func TestLetters(t *testing.T) {
	for n, want := range map[int]string{0: "A", 25: "Z", 26: "AA", 27: "AB", 51: "AZ", 52: "BA", 701: "ZZ", 702: "AAA"} {
		if got := letter(n); got != want {
			t.Errorf("letter(%d) = %s, want %s", n, got, want)
		}
	}
}

// Closed forms: the page is two rectangles less four corner bites of
// r²(1 - π/4); a panel of a V-fold is half base·ridge·sin b.
func TestPageMeasures(t *testing.T) {
	_, p := cleanPattern(t, one(`{"id":"boat","kind":"v_fold","on":{"fold":"gutter"},"at":100,"left":{"base_angle":55,"panel_angle":90,"base_length":70},"ridge_length":85}`))
	page := p.Part("page")
	approx(t, "square page", page.Area(), 2*500*500, 1e-6)
	approx(t, "cut length", page.CutLength(), 2*1000+2*500, 1e-9)
	approx(t, "crease length", page.CreaseLength(), 500, 1e-9)
	near(t, "size", page.Size(), geom.Vec2{X: 1000, Y: 500}, 1e-9)

	_, p = cleanPattern(t, `{"spread":{"page_width":130,"page_height":180,"corner_radius":4,"margin":0},"mechanisms":[]}`)
	page = p.Part("page")
	approx(t, "rounded page", page.Area(), 2*130*180-4*16*(1-math.Pi/4), 1e-9)
	approx(t, "its cut", page.CutLength(), 2*260+2*180-8*4+2*math.Pi*4, 1e-9)
	near(t, "its corner", page.Bounds().Min, geom.Vec2{X: -130}, 1e-12)
	arcs := 0
	for _, s := range page.Outline[0].Segments {
		if s.Kind == geom.Arc {
			arcs++
		}
	}
	if arcs != 4 {
		t.Errorf("%d arcs in the page's outline, want its 4 corners", arcs)
	}
	for i := range page.Guides {
		if page.Guides[i].Closed {
			t.Error("a margin line although the margin is 0")
		}
	}
}

// A tent on wide pages: nothing limits its tabs, so each is the full trapezoid
// length·depth - depth²·tan taper.
func TestTentClosedForm(t *testing.T) {
	_, p := cleanPattern(t, one(`{"id":"quay","kind":"parallel_fold","on":{"fold":"gutter"},"from":50,"to":110,
		"left":{"base_offset":40,"panel_width":50},"joint":{"tab_depth":12,"tab_taper":30}}`))
	quay := p.Part("quay")
	tab := 60*12 - 12*12*math.Tan(math.Pi/6)
	approx(t, "area", quay.Area(), 2*60*50+2*tab, 1e-5)
	approx(t, "tab", quay.Glue[0].Path.Area(), tab, 1e-5)
	side := 12 / math.Cos(math.Pi/6)
	top := 60 - 2*12*math.Tan(math.Pi/6)
	approx(t, "cut length", quay.CutLength(), 4*50+2*top+4*side, 1e-5)
	approx(t, "creases", quay.CreaseLength(), 3*60, 1e-9)
	near(t, "size", quay.Size(), geom.Vec2{X: 2 * (50 + 12), Y: 60}, 1e-5)
	if n := len(quay.Outline[0].Segments); n != 8 {
		t.Errorf("outline of %d segments, want 8: the ridge's ends lie on straight edges", n)
	}
}

// Two right angles at the apex put both base lines in one line: the outline has
// no corner there.
func TestVFoldClosedForm(t *testing.T) {
	_, p := cleanPattern(t, one(`{"id":"boat","kind":"v_fold","on":{"fold":"gutter"},"at":100,"left":{"base_angle":60,"panel_angle":90,"base_length":70},"ridge_length":85}`))
	boat := p.Part("boat")
	// The tab starts 1 mm from the gutter, 1/sin 60 along the base line. Under
	// the mechanism the wedge to the gutter is 60 degrees and the tab's end
	// leans 55 degrees from the base line: it clears the gutter by itself.
	length := 70 - 1/math.Sin(math.Pi/3)
	tab := length*10 - 100*math.Tan(35*math.Pi/180)
	approx(t, "area", boat.Area(), 2*(70*85/2.0)+2*tab, 1e-4)
	approx(t, "ridge", boat.crease("boat.ridge").Length(), 85, 1e-9)
	approx(t, "left base", boat.crease("boat.left_base").Length(), length, 1e-6)
	approx(t, "right base", boat.crease("boat.right_base").Length(), length, 1e-6)
	if j := p.Joints[0]; j.Depth != 10 || j.Wanted != 10 || math.Abs(j.Length-length) > 1e-6 {
		t.Errorf("joint %+v, want length %g, depth 10", j, length)
	}
	// Seen from the reader's side, the left panel is on the left.
	for _, pl := range boat.Panels {
		middle := pl.Place.Apply(geom.Vec2{X: 30, Y: 30})
		if (middle.X < 0) != (pl.Panel == 2) {
			t.Errorf("panel %d lies at %v", pl.Panel, middle)
		}
	}
}

// Leaning toward the head, a V is seen from the head: left and right change.
func TestLeanTowardIsSeenFromTheOtherSide(t *testing.T) {
	a, p := cleanPattern(t, one(`{"id":"boat","kind":"v_fold","on":{"fold":"gutter"},"at":200,"lean":"toward","left":{"base_angle":120,"panel_angle":90,"base_length":70},"ridge_length":85}`))
	for _, pl := range p.Part("boat").Panels {
		middle := pl.Place.Apply(geom.Vec2{X: 30, Y: 30})
		if left := a.Panels[pl.Panel].ID == "boat.left"; (middle.X > 0) != left {
			t.Errorf("panel %s lies at %v", a.Panels[pl.Panel].ID, middle)
		}
	}
}

func TestOptionsAreChecked(t *testing.T) {
	a := assembly(t, harbour)
	for _, change := range []func(*Options){
		func(o *Options) { o.SlotLengthClearance = -0.1 },
		func(o *Options) { o.SlotGapClearance = math.NaN() },
		func(o *Options) { o.PartSpacing = math.Inf(1) },
		func(o *Options) { o.LabelHeight = 1.9 },
	} {
		o := DefaultOptions()
		change(&o)
		if _, err := Make(a, o); err == nil {
			t.Errorf("options %+v were accepted", o)
		} else if _, ok := err.(*OptionError); !ok {
			t.Errorf("error %v is not an *OptionError", err)
		}
	}
}

// Whenever it is told to stop it does, before it asks much more; told nothing it
// asks at least for every part and joint.
func TestStop(t *testing.T) {
	a := assembly(t, quayside)
	asked := 0
	o := DefaultOptions()
	o.Stop = func() bool { asked++; return false }
	p := mustMake(t, a, o)
	most := asked
	if most < len(p.Parts)+len(p.Joints) {
		t.Errorf("asked %d times for %d parts and %d joints", most, len(p.Parts), len(p.Joints))
	}
	for at := 1; at <= most; at++ {
		asked = 0
		o.Stop = func() bool { asked++; return asked >= at }
		if p, err := Make(a, o); !errors.Is(err, ErrStopped) || p != nil {
			t.Fatalf("stopped at question %d: %v, %v", at, p, err)
		}
		if asked != at {
			t.Fatalf("told to stop at question %d, asked %d", at, asked)
		}
	}
}

// Designs as full as may be are made; BenchmarkMakeFull tells how fast.
func TestFullDesignsAreMade(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds")
	}
	for name, document := range fullDesigns() {
		if p := mustMake(t, assembly(t, document), DefaultOptions()); len(p.Parts) < 2 {
			t.Errorf("%s has %d parts", name, len(p.Parts))
		}
	}
}

// The grid finds whatever a search through everything finds.
func TestGridFindsWhatIsThere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(-30, 230)
		box := func(name string) geom.Box2 {
			p := geom.Vec2{X: v.Draw(t, name), Y: v.Draw(t, name)}
			return geom.EmptyBox().Extend(p).Extend(p.Add(geom.Vec2{X: v.Draw(t, name) / 4, Y: v.Draw(t, name) / 4}))
		}
		g := newGrid(geom.Box2{Max: geom.Vec2{X: 200, Y: 120}})
		boxes := make([]geom.Box2, rapid.IntRange(1, 20).Draw(t, "boxes"))
		for i := range boxes {
			boxes[i] = box("box")
			g.add(i, boxes[i])
		}
		ask := box("asked")
		if got, want := g.any(ask, func(i int) bool { return boxes[i].Overlaps(ask) }), slices.ContainsFunc(boxes, ask.Overlaps); got != want {
			t.Errorf("found %v, want %v", got, want)
		}
	})
}
