package pattern

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"foldwright/solver/geom"
)

const slotted = `{"id":"mast","kind":"parallel_fold","on":{"fold":"gutter"},"from":50,"to":110,
	"left":{"base_offset":40,"panel_width":50},"joint":{"fix":"slot","tab_depth":12,"tab_taper":30}}`

// A slot is a layer and the gap wide, and as long as the tab's crease and the
// clearance, whatever those are.
func TestSlotFollowsTabAndPaper(t *testing.T) {
	for _, row := range []struct {
		caliper, gap, clearance float64
		to                      string
	}{
		{0.3, 0.2, 0.7, "110"},
		{0.5, 0.2, 0.7, "110"},
		{0.3, 0.1, 0.5, "110"},
		{0.3, 0.2, 0.7, "90"},
	} {
		document := strings.Replace(one(slotted), `"to":110`, `"to":`+row.to, 1)
		a := assembly(t, document)
		a.Design.Paper.Caliper = row.caliper
		o := DefaultOptions()
		o.SlotGapClearance, o.SlotLengthClearance = row.gap, row.clearance
		p := mustMake(t, a, o)
		page := p.Part("page")
		if len(page.Slots) != 2 {
			t.Fatalf("%d slots, want 2", len(page.Slots))
		}
		for i, s := range page.Slots {
			j := p.Joints[i]
			if s.Label != j.Label || s.Joint != j.ID || !j.Slotted {
				t.Errorf("slot %s of %s is for joint %+v", s.Label, s.Joint, j)
			}
			size := s.Path.Bounds().Size() // base lines run along y
			approx(t, "width", size.X, row.caliper+row.gap, 1e-9)
			approx(t, "length", size.Y, p.Part("mast").crease(j.ID).Length()+row.clearance, 1e-9)
			approx(t, "middle", math.Abs(s.Path.Bounds().Center().X), 40, 1e-9)
		}
		want := map[string]float64{"110": 60, "90": 40}[row.to]
		approx(t, "tab", p.Joints[0].Length, want, 1e-9)
	}
}

// A tab that goes through the page is glued on the back of the page.
func TestSlottedTabIsGluedBehind(t *testing.T) {
	_, p := cleanPattern(t, one(slotted))
	if mark := p.Part("page").glue("A"); !mark.OnBack {
		t.Error("the mark is on the front of the page")
	}
	_, p = cleanPattern(t, one(strings.Replace(slotted, `"fix":"slot",`, "", 1)))
	if mark := p.Part("page").glue("A"); mark.OnBack {
		t.Error("the mark of a surface joint is on the back of the page")
	}
	if n := len(p.Part("page").Slots); n != 0 {
		t.Errorf("a surface joint cut %d slots", n)
	}
}

// A slot keeps the larger of 2 mm and five calipers of paper between itself and
// the gutter (common practice).
func TestSlotLeavesAWeb(t *testing.T) {
	for caliper, web := range map[float64]float64{0.3: 2, 0.8: 4} {
		a := assembly(t, one(`{"id":"boat","kind":"v_fold","on":{"fold":"gutter"},"at":100,"left":{"base_angle":55,"panel_angle":90,"base_length":70},"ridge_length":85,"joint":{"fix":"slot"}}`))
		a.Design.Paper.Caliper = caliper
		p := mustMake(t, a, DefaultOptions())
		for _, s := range p.Part("page").Slots {
			box := s.Path.Bounds()
			// The corner nearest the gutter is half the slot's width off the
			// base line, by cos 55 of it nearer.
			half := (caliper + 0.2) / 2
			least := min(math.Abs(box.Min.X), math.Abs(box.Max.X))
			shift := web + 0.35 - 0.35*math.Sin(55*math.Pi/180) - half*math.Cos(55*math.Pi/180)
			approx(t, "distance from the gutter", least, shift, 1e-9)
		}
	}
}

// The tab near a narrow apex is cut along the gutter, a millimetre off it.
func TestTabIsCutAlongTheGutter(t *testing.T) {
	_, p := cleanPattern(t, one(`{"id":"boat","kind":"v_fold","on":{"fold":"gutter"},"at":100,"left":{"base_angle":20,"panel_angle":60,"base_length":60},"ridge_length":50}`))
	near := math.Inf(1)
	for _, q := range p.Part("page").glue("A").Path.Flatten(flatTolerance)[0] {
		near = min(near, -q.X)
	}
	approx(t, "distance of the mark from the gutter", near, 1, 1e-9)
	// The wedge is 20 degrees, under the 55 of the tab's end: from the start
	// at 1/sin 20 the tab's edge runs along the gutter.
	approx(t, "length", p.Joints[0].Length, 60-1/math.Sin(20*math.Pi/180), 1e-9)
	if p.Joints[0].Depth != 10 {
		t.Errorf("depth %g, want the whole 10", p.Joints[0].Depth)
	}
}

// A base line 6 mm from the gutter leaves 5 mm for the tab.
func TestTabShrinksToItsHost(t *testing.T) {
	_, p := cleanPattern(t, one(`{"id":"quay","kind":"parallel_fold","on":{"fold":"gutter"},"from":50,"to":110,"left":{"base_offset":6,"panel_width":50}}`))
	for _, j := range p.Joints {
		approx(t, "depth", j.Depth, 5, 1e-9)
		approx(t, "wanted", j.Wanted, 10, 0)
	}
}

// A short tab is shallower before it is steeper: on 14 mm with ends of 45
// degrees, 2 mm of top leave a depth of 6; on 10 mm the least good depth of 5
// is kept by steeper ends.
func TestShortTabs(t *testing.T) {
	for _, row := range []struct{ long, depth float64 }{{14, 6}, {10, 5}, {40, 10}} {
		_, p := cleanPattern(t, one(fmt.Sprintf(`{"id":"post","kind":"parallel_fold","on":{"fold":"gutter"},"from":50,"to":%g,
			"left":{"base_offset":40,"panel_width":50},"joint":{"tab_taper":45}}`, 50+row.long)))
		approx(t, "depth", p.Joints[0].Depth, row.depth, 1e-9)
	}
}

func TestBaseLineOffThePageHasNoTab(t *testing.T) {
	p := mustMake(t, assembly(t, `{"spread":{"page_width":60,"page_height":100},"mechanisms":[
		{"id":"pier","kind":"strap","on":{"fold":"gutter"},"from":10,"to":40,"left_offset":80,"right_offset":20}]}`), DefaultOptions())
	if len(p.Problems) != 1 || p.Problems[0].Code != CodeNoTab || p.Problems[0].Pointer != "/mechanisms/0/joint" {
		t.Fatalf("problems %+v, want one %s", p.Problems, CodeNoTab)
	}
	// The other side is made all the same.
	if len(p.Joints) != 1 || p.Joints[0].ID != "pier.right_base" {
		t.Errorf("joints %+v, want that of the right base alone", p.Joints)
	}
}

// Two base lines that nearly meet round the apex: their tabs share the wedge
// between them and keep a millimetre of waste.
func TestTabsOfOnePartKeepApart(t *testing.T) {
	_, p := cleanPattern(t, one(`{"id":"fan","kind":"v_fold","on":{"fold":"gutter"},"at":200,"left":{"base_angle":20,"panel_angle":150,"base_length":80},"ridge_length":60,"joint":{"tab_side":"outer"}}`))
	fan := p.Part("fan")
	a, b := fan.glue("A").Path.Flatten(flatTolerance)[0], fan.glue("B").Path.Flatten(flatTolerance)[0]
	gap := math.Inf(1)
	for i := range a {
		for j := range b {
			gap = min(gap, geom.SegmentDistance(a[i], a[(i+1)%len(a)], b[j], b[(j+1)%len(b)]))
		}
	}
	approx(t, "gap", gap, 1, 1e-9)
}

// A sail whose free edge is cut in to a waist: the block on it has its base line
// across the waist, so its tab stays on the paper that is there.
func TestTabOnAHollowHost(t *testing.T) {
	const sail = `{"id":"sail","kind":"v_fold","on":{"fold":"gutter"},"at":100,"left":{"base_angle":50,"panel_angle":90,"base_length":90,"profile":"M0 0 L0.5 -0.35 L1 0"},"ridge_length":90},
		{"id":"block","kind":"v_fold","on":{"fold":"sail.right_base"},"at":40,"left":{"base_angle":60,"panel_angle":70,"base_length":45},"ridge_length":30}`
	a, p := cleanPattern(t, one(sail))
	for _, j := range p.Joints {
		fold := a.FoldIndex(j.ID)
		host := a.Folds[fold].Panels[0]
		_, place := placements(p, a)
		outline := a.Panels[host].Outline
		for _, q := range p.Part(j.Host).glue(j.Label).Path.Flatten(flatTolerance)[0] {
			v := place[host].Inverse().Apply(q)
			if !geom.PolygonContains(outline, v) && geom.PolygonDistance(outline, v) > onEdge {
				t.Errorf("mark %s of %s reaches off %s", j.Label, j.ID, a.Panels[host].ID)
			}
		}
	}
	// The free edge's waist is kept in the part: each panel loses the triangle
	// between the straight edge, 90√2 long, and the waist 0.35 of it deep.
	panels := 0.0
	for _, pl := range p.Part("sail").Panels {
		panels += math.Abs(a.Panels[pl.Panel].Shape.Area())
	}
	edge := 90 * math.Sqrt2
	approx(t, "panels", panels, 90*90-edge*0.35*edge, 1e-6)
}

// With the apex trimmed the tabs start at the trim, and the panels are joined
// along what is left of the ridge.
func TestTrimmedApex(t *testing.T) {
	_, p := cleanPattern(t, one(`{"id":"boat","kind":"v_fold","on":{"fold":"gutter"},"at":100,"apex_trim":12,"left":{"base_angle":60,"panel_angle":90,"base_length":70},"ridge_length":85}`))
	boat := p.Part("boat")
	approx(t, "ridge", boat.crease("boat.ridge").Length(), 85-12, 1e-9)
	approx(t, "base", boat.crease("boat.left_base").Length(), 70-12, 1e-9)
	tab := 58*10 - 100*math.Tan(35*math.Pi/180)
	approx(t, "area", boat.Area(), 70*85-12*12+2*tab, 1e-6)
}

// A round free edge stays round in the part.
func TestProfileStaysCurved(t *testing.T) {
	_, p := cleanPattern(t, one(`{"id":"hull","kind":"v_fold","on":{"fold":"gutter"},"at":100,"left":{"base_angle":60,"panel_angle":90,"base_length":70,"profile":"M0 0 C0.2 0.3 0.8 0.3 1 0"},"ridge_length":85}`))
	if n := kinds(p.Part("hull").Outline); n[geom.Cubic] != 2 {
		t.Errorf("segments %v, want the two cubic edges", n)
	}
}
