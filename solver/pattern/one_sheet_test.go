package pattern

import (
	"math"
	"testing"

	"foldwright/solver/geom"
)

// steps has mechanisms cut from the page, from one another, and from the
// underside of a ridge, and one glued on a cut step.
const steps = `{
  "title": "Harbour steps",
  "spread": {"page_width": 130, "page_height": 180, "margin": 5},
  "mechanisms": [
    {"id": "stair", "kind": "cut_step", "on": {"fold": "gutter"}, "from": 30, "to": 80, "left_offset": 40, "right_offset": 25},
    {"id": "landing", "kind": "cut_step", "on": {"fold": "stair.left_base"}, "from": 10, "to": 35, "left_offset": 12, "right_offset": 8},
    {"id": "arch", "kind": "cut_v", "on": {"fold": "gutter"}, "at": 125, "left": {"base_angle": 50, "base_length": 40}, "ridge_length": 30},
    {"id": "shed", "kind": "parallel_fold", "on": {"fold": "gutter"}, "from": 90, "to": 115, "left": {"base_offset": 30, "panel_width": 45}},
    {"id": "door", "kind": "cut_step", "on": {"fold": "shed.ridge"}, "from": 5, "to": 17, "left_offset": 14, "right_offset": 10},
    {"id": "crate", "kind": "strap", "on": {"fold": "stair.ridge"}, "from": 5, "to": 25, "left_offset": 8, "right_offset": 11}
  ]
}`

// A step is two cuts as long as both offsets together, and three creases of its
// own length; the gutter is scored beside it and not across it. Its ridge lies
// as far right of the left base line as the right offset is wide.
func TestCutStep(t *testing.T) {
	_, p := cleanPattern(t, one(`{"id":"stair","kind":"cut_step","on":{"fold":"gutter"},"from":30,"to":80,"left_offset":40,"right_offset":25}`))
	if len(p.Parts) != 1 || len(p.Joints) != 0 {
		t.Fatalf("%d parts, %d joints; a step is cut from the page", len(p.Parts), len(p.Joints))
	}
	page := &p.Parts[0]
	if len(page.Cuts) != 2 {
		t.Fatalf("%d cuts, want 2", len(page.Cuts))
	}
	for i := range page.Cuts {
		c := &page.Cuts[i]
		if c.Closed || len(c.Segments) != 1 {
			t.Errorf("cut %d is not one straight open line: %+v", i, c)
		}
		approx(t, "cut", geom.Path{*c}.Length(), 65, 1e-9)
		box := geom.Path{*c}.Bounds()
		near(t, "its left end", box.Min, geom.Vec2{X: -40, Y: box.Min.Y}, 1e-9)
		if math.Abs(box.Min.Y-30) > 1e-9 && math.Abs(box.Min.Y-80) > 1e-9 {
			t.Errorf("cut at y = %g", box.Min.Y)
		}
	}
	for _, row := range []struct {
		id   string
		x    float64
		kind CreaseKind
	}{
		{"stair.left_base", -40, Valley}, {"stair.ridge", -15, Mountain}, {"stair.right_base", 25, Valley},
	} {
		c := page.crease(row.id)
		approx(t, row.id, c.From.X, row.x, 1e-9)
		approx(t, row.id, c.Length(), 50, 1e-9)
		if c.Kind != row.kind {
			t.Errorf("%s is a %v, want %v", row.id, c.Kind, row.kind)
		}
	}
	approx(t, "creases", page.CreaseLength(), 500-50+3*50, 1e-9)
	approx(t, "area", page.Area(), 2*500*500, 1e-6)
	approx(t, "cut length", page.CutLength(), 2*1000+2*500+2*65, 1e-9)
}

// A cut V is one cut from base end over the ridge's end to base end. With base
// angles a the ridge lies in the gutter when flat, so the gutter is scored up to
// the apex and from the end of the ridge on.
func TestCutV(t *testing.T) {
	_, p := cleanPattern(t, one(`{"id":"arch","kind":"cut_v","on":{"fold":"gutter"},"at":150,"left":{"base_angle":50,"base_length":40},"ridge_length":30}`))
	page := &p.Parts[0]
	if len(page.Cuts) != 1 || len(page.Cuts[0].Segments) != 2 {
		t.Fatalf("cuts %+v, want one of two lines", page.Cuts)
	}
	// Law of cosines: the ridge runs up the gutter from the apex, 50 degrees from
	// the base lines.
	side := math.Sqrt(40*40 + 30*30 - 2*40*30*math.Cos(50*math.Pi/180))
	approx(t, "cut", page.Cuts.Length(), 2*side, 1e-9)
	approx(t, "creases", page.CreaseLength(), 500-30+2*40+30, 1e-6)
	if c := page.crease("arch.ridge"); math.Abs(c.From.X)+math.Abs(c.To.X) > 1e-9 || c.Kind != Mountain {
		t.Errorf("ridge %+v, want a mountain on the gutter", c)
	}
}

// Seen from the printed face, a step cut from the underside of a ridge folds the
// other way.
func TestStepUnderARidge(t *testing.T) {
	_, p := cleanPattern(t, steps)
	shed := p.Part("shed")
	for id, kind := range map[string]CreaseKind{"door.left_base": Mountain, "door.ridge": Valley, "door.right_base": Mountain, "shed.ridge": Mountain} {
		if c := shed.crease(id); c == nil || c.Kind != kind {
			t.Errorf("%s is %+v, want a %v", id, c, kind)
		}
	}
	if n := len(shed.Cuts); n != 2 {
		t.Errorf("%d cuts in the shed, want 2", n)
	}
	if p.Part("crate") == nil || p.Part("stair") != nil || p.Part("page").glue("C") == nil {
		t.Error("the crate is a part glued on the page's step; the step is none")
	}
}
