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
