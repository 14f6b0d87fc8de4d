package pattern

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"foldwright/solver/geom"
)

// locked is a mast of 50 mm along the gutter on tabs through the page.
func locked(joint string) string {
	return one(`{"id":"mast","kind":"parallel_fold","on":{"fold":"gutter"},"from":50,"to":100,
		"left":{"base_offset":40,"panel_width":50},"joint":{"fix":"slot","tab_depth":12,"tab_taper":30,` + joint + `}}`)
}

// At the back of the host, as deep as a caliper and the gap, a tab of 50 mm with
// ends of 30 degrees is 50 - 2 deep tan 30 wide; the neck is that less both
// shoulders, the slot as long as the neck and the clearance, and as wide as two
// layers and the gap. A change of dimension moves tab and slot.
func TestShoulderLocksBehindTheSlot(t *testing.T) {
	for _, row := range []struct{ long, shoulder, caliper float64 }{{50, 4, 0.3}, {50, 2.5, 0.3}, {40, 4, 0.3}, {50, 4, 0.5}} {
		document := strings.Replace(locked(fmt.Sprintf(`"shoulder":%g`, row.shoulder)), `"to":100`, fmt.Sprintf(`"to":%g`, 50+row.long), 1)
		a := assembly(t, document)
		a.Design.Paper.Caliper = row.caliper
		p := mustMake(t, a, DefaultOptions())
		if len(p.Problems) > 0 {
			t.Fatalf("%+v", p.Problems)
		}
		deep := row.caliper + 0.2
		neck := row.long - 2*deep*math.Tan(30*math.Pi/180) - 2*row.shoulder
		for i, j := range p.Joints {
			approx(t, "neck", j.Length, neck, 1e-9)
			approx(t, "shoulder", j.Shoulder, row.shoulder, 1e-9)
			size := p.Part("page").Slots[i].Path.Bounds().Size()
			approx(t, "slot length", size.Y, neck+0.7, 1e-9)
			approx(t, "slot width", size.X, 2*row.caliper+0.2, 1e-9)
			approx(t, "crease", p.Part("mast").crease(j.ID).Length(), neck, 1e-9)
			wings := 0
			for _, c := range p.Part("mast").Creases {
				if c.ID == j.ID+".wing" {
					wings++
					// Along the tab, from the back of the host to where the taper or
					// the far edge ends it.
					up := min(12, (row.long-neck)/2/math.Tan(30*math.Pi/180))
					approx(t, "wing", c.Length(), up-deep, 1e-9)
				}
			}
			if wings != 2 {
				t.Errorf("%d wings", wings)
			}
		}
		// The tab is what a plain one is, less the corners beside the neck.
		area := p.Part("mast").glue("A").Path.Area()
		taper := math.Tan(30 * math.Pi / 180)
		whole := 12*row.long - 12*12*taper
		corners := 2 * deep * (row.shoulder + deep*taper/2)
		approx(t, "area", area, whole-corners, 1e-9)
	}
}

// Folded in over the neck, the wings of a tab leave it within the slot's length.
func TestFoldedWingsPassTheSlot(t *testing.T) {
	p := mustMake(t, assembly(t, locked(`"shoulder":20`)), DefaultOptions())
	j := p.Joints[0]
	if 2*j.Shoulder > j.Length+1e-9 {
		t.Errorf("wings of %g meet on a neck of %g", j.Shoulder, j.Length)
	}
	if j.Shoulder < 10 {
		t.Errorf("a shoulder of %g; a quarter of the tab is more", j.Shoulder)
	}
}

func TestDryJoints(t *testing.T) {
	_, p := cleanPattern(t, locked(`"shoulder":3,"glued":false`))
	for _, part := range p.Parts {
		for _, g := range part.Glue {
			if !g.Dry {
				t.Errorf("%s is glued at %s", part.ID, g.Label)
			}
		}
	}
	p = mustMake(t, assembly(t, locked(`"glued":false`)), DefaultOptions())
	if len(p.Problems) != 2 || p.Problems[0].Code != CodeNoLock || p.Joints[0].Dry {
		t.Errorf("%+v", p.Problems)
	}
	short := strings.Replace(locked(`"shoulder":3`), `"to":100`, `"to":54`, 1)
	p = mustMake(t, assembly(t, short), DefaultOptions())
	if len(p.Problems) != 2 || p.Problems[0].Code != CodeNoLock || p.Joints[0].Shoulder != 0 {
		t.Errorf("%+v", p.Problems)
	}
}

// A figure's neck is its tab's width less both shoulders.
func TestFigureLocks(t *testing.T) {
	for _, outline := range []string{"M-10 0 H10 V30 H-10 Z", "M-20 -20 H20 V30 H-20 Z"} { // a tab below it, and a tongue
		figure := `{"id":"gull","kind":"figure","on":{"panel":"page.left"},"place":{"u":60,"v":60},"outline":"` + outline + `",
			"fix":"tab_in_slot","tab":{"width":14,"depth":9,"shoulder":3,"glued":false}}`
		_, p := cleanPattern(t, one(figure))
		j := p.Joints[0]
		approx(t, "neck", j.Length, 8, 1e-9)
		if !j.Dry || j.Shoulder != 3 {
			t.Errorf("%+v", j)
		}
		size := p.Part("page").Slots[0].Path.Bounds().Size()
		approx(t, "slot length", max(size.X, size.Y), 8.7, 1e-9)
		approx(t, "slot width", min(size.X, size.Y), 2*testCaliper+0.2, 1e-9)
		deep := testCaliper + 0.2
		approx(t, "tab", p.Part("gull").glue("A").Path.Area(), 14*9-2*3*deep, 1e-9)
		if strings.HasPrefix(outline, "M-10") {
			approx(t, "figure and tab", p.Part("gull").Area(), 600+14*9-2*3*deep, 1e-6)
		} else {
			approx(t, "tongue", p.Part("gull").Cuts.Length(), 2*9+14+2*3, 1e-9)
		}
	}
}

// testCaliper is the paper of the test designs, mm.
const testCaliper = 0.3

// A round relief at the end of a crease takes a sector from the outline as wide
// as the paper's angle there: 180 degrees less the taper of 35 where the tab's
// end meets the edge of the panel, which is at right angles to the crease.
func TestReliefAtTheEndsOfACrease(t *testing.T) {
	tent := `{"id":"quay","kind":"parallel_fold","on":{"fold":"gutter"},"from":50,"to":110,"left":{"base_offset":40,"panel_width":50}`
	_, plain := cleanPattern(t, one(tent+`}`))
	r := 2 * testCaliper
	taper := 35 * math.Pi / 180
	for kind, corner := range map[string]float64{
		"round": r * r / 2 * (math.Pi - taper),
		// On the panel's side half of a square of diagonals 2r less the half
		// beyond the edge, r²/2; on the tab's side the triangle between the
		// crease and the tab's end: base r, and the angle there 90 - 35 degrees.
		"notch": r*r/2 + r*r/2*math.Tan(math.Pi/2-taper)/(1+math.Tan(math.Pi/2-taper)),
	} {
		_, p := cleanPattern(t, one(tent+`,"joint":{"relief":"`+kind+`"}}`))
		approx(t, kind+" area", plain.Part("quay").Area()-p.Part("quay").Area(), 4*corner, 1e-5)
		for _, j := range p.Joints {
			approx(t, kind+" crease", p.Part("quay").crease(j.ID).Length(), 60-2*r, 1e-9)
		}
		for i := range p.Part("quay").Glue {
			approx(t, kind+" tab", plain.Part("quay").Glue[i].Path.Area()-p.Part("quay").Glue[i].Path.Area(), 2*(corner-map[string]float64{"round": math.Pi / 4 * r * r, "notch": r * r / 2}[kind]), 1e-5)
		}
	}
}

// Beside an apex the reliefs of two tabs leave every part whole.
func TestReliefAtAnApex(t *testing.T) {
	for _, kind := range []string{"round", "notch"} {
		_, p := cleanPattern(t, one(`{"id":"boat","kind":"v_fold","on":{"fold":"gutter"},"at":100,"left":{"base_angle":55,"panel_angle":90,"base_length":70},"ridge_length":85,"joint":{"relief":"`+kind+`","fix":"slot","shoulder":4}}`))
		if n := len(p.Part("boat").Outline); n != 1 {
			t.Errorf("%d outlines", n)
		}
		if geom.PolygonArea(p.Part("boat").Outline.Flatten(flatTolerance)[0]) <= 0 {
			t.Error("the outline runs clockwise")
		}
	}
}
