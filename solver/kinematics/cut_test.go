package kinematics

import (
	"math"
	"testing"

	"foldwright/solver/geom"
)

func openingArea(p *Panel) float64 {
	area := 0.0
	for _, ring := range p.Openings.Flatten(OutlineTolerance) {
		area += math.Abs(geom.PolygonArea(ring))
	}
	return area
}

// What is cut from the faces is what the panels are made of: the areas agree,
// face by face. Source: rectangles 30 long, 20 and 35 wide on either side of
// the fold; for the V the triangle formula, split where the cut crosses the
// fold.
func TestCutOpenings(t *testing.T) {
	step := assemble(t, `{"id":"tug","kind":"cut_step","on":{"fold":"gutter"},"from":40,"to":70,"left_offset":20,"right_offset":35}`)
	approx(t, "opening of the left page", openingArea(&step.Panels[pageLeft]), 30*20, 1e-9)
	approx(t, "opening of the right page", openingArea(&step.Panels[pageRight]), 30*35, 1e-9)

	v := assemble(t, `{"id":"tug","kind":"cut_v","on":{"fold":"gutter"},"at":40,"left":{"base_angle":40,"base_length":50},"ridge_length":60}`)
	want := 0.5 * 50 * 60 * math.Sin(40*math.Pi/180)
	approx(t, "opening of the left page", openingArea(&v.Panels[pageLeft]), want, 1e-9)
	approx(t, "opening of the right page", openingArea(&v.Panels[pageRight]), want, 1e-9)

	// A step on the left base of a step is cut partly from the page, partly
	// from the panel below it.
	stair := assemble(t, `{"id":"tug","kind":"cut_step","on":{"fold":"gutter"},"from":40,"to":70,"left_offset":20,"right_offset":35},
		{"id":"bow","kind":"cut_step","on":{"fold":"tug.left_base"},"from":5,"to":15,"left_offset":8,"right_offset":6}`)
	approx(t, "openings of the left page", openingArea(&stair.Panels[pageLeft]), 30*20+10*8, 1e-9)
	approx(t, "opening of the step", openingArea(&stair.Panels[stair.PanelIndex("tug.left")]), 10*6, 1e-9)
}

// Open flat, everything cut from a spread lies in it.
func TestCutMechanismsLieInTheSheet(t *testing.T) {
	a := assemble(t, `{"id":"tug","kind":"cut_step","on":{"fold":"gutter"},"from":40,"to":70,"left_offset":20,"right_offset":35},
		{"id":"bow","kind":"cut_step","on":{"fold":"tug.left_base"},"from":5,"to":15,"left_offset":8,"right_offset":6},
		{"id":"gull","kind":"cut_v","on":{"fold":"gutter"},"at":100,"left":{"base_angle":40,"base_length":50},"right":{"base_angle":55,"base_length":30},"ridge_length":45}`)
	p := pose(t, a, 180)
	for i := range a.Panels {
		for _, q := range p.AppendVertices(nil, i) {
			approx(t, a.Panels[i].ID, q.Z, 0, 1e-9)
		}
	}
}

// The window of a wheel opens its panel, as it lies at its place; a piece
// inside it is held by nothing. The disc lies behind, and so do the strips of
// arms and slides; the strip of a tent is drawn along the front.
func TestWhatLiesBehindAPanel(t *testing.T) {
	a := assemble(t, `{"id":"clock","kind":"wheel","on":{"panel":"page.right"},"place":{"u":90,"v":60,"rotate":90},"radius":40,
		"window":"M10 -12 H34 V12 H10 Z M18 -4 H26 V4 H18 Z"},
		{"id":"signal","kind":"pivot_arm","on":{"panel":"page.left"},"place":{"u":60,"v":30,"rotate":90},
		 "outline":"M-6 -6 H6 V30 H-6 Z","crank":14,"crank_angle":120,"link_length":42,"stroke":10},
		{"id":"tug","kind":"pull_tab","on":{"panel":"page.left"},"place":{"u":30,"v":60,"rotate":90},
		 "outline":"M-15 -10 H15 V10 H-15 Z","stroke":20,"strip":{"width":12,"length":70}},
		{"id":"sail","kind":"pull_tab","on":{"panel":"page.left"},"moves":"tent","place":{"u":80,"v":70,"rotate":90},
		 "tent":{"near_width":20,"far_width":22,"along":30},"stroke":20,"strip":{"width":10,"length":70}}`)
	page := &a.Panels[pageRight]
	approx(t, "window", openingArea(page), 24*24, 1e-3) // on the grid of areas
	box := page.Openings.Bounds()
	// Turned by 90 degrees, x runs along v and y against u.
	approx(t, "least u", box.Min.X, 90-12, 1e-3)
	approx(t, "least v", box.Min.Y, 60+10, 1e-3)
	if len(page.OpenedBy) != len(page.Openings) || a.Design.Mechanisms[page.OpenedBy[0]].ID != "clock" {
		t.Errorf("opened by %v", page.OpenedBy)
	}
	for id, want := range map[string]bool{"clock.disc": true, "signal.arm": false, "tug.slide": false, "page.right": false} {
		if got := a.Panels[a.PanelIndex(id)].Behind; got != want {
			t.Errorf("%s behind: %t, want %t", id, got, want)
		}
	}
	for i, want := range map[string]bool{"signal.strip": true, "tug.strip": true, "sail.strip": false} {
		for k := range a.Strips {
			if a.Strips[k].ID == i && a.Strips[k].Behind != want {
				t.Errorf("%s behind: %t, want %t", i, a.Strips[k].Behind, want)
			}
		}
	}
}
