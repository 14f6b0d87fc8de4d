package view

import (
	"math"
	"strings"
	"testing"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/testdata/designs"
)

const handDriven = `
  {"id":"hatch","kind":"flap","on":{"panel":"page.left"},"place":{"u":30,"v":40},"hinge_length":40,"depth":30},
  {"id":"disc","kind":"wheel","on":{"panel":"page.right"},"place":{"u":120,"v":60},"radius":25},
  {"id":"tug","kind":"pull_tab","on":{"panel":"page.right"},"place":{"u":30,"v":60,"rotate":90},
   "outline":"M-15 -10 H15 V10 H-15 Z","stroke":40,"strip":{"width":12,"length":90}},
  {"id":"sail","kind":"pull_tab","on":{"panel":"page.left"},"moves":"tent","place":{"u":120,"v":70,"rotate":90},
   "tent":{"near_width":20,"far_width":22,"along":30},"stroke":20,"strip":{"width":10,"length":100}}`

// areas gives the painted area of every piece of paper, px².
func areas(t testing.TB, svg string) map[string]float64 {
	t.Helper()
	painted := map[string]float64{}
	sheet := ""
	for _, e := range parse(t, svg) {
		if id := e.attrs["data-panel"] + e.attrs["data-strip"]; id != "" {
			sheet = id
		} else if e.name == "path" && e.attrs["fill"] != "none" && e.attrs["fill"] != "" {
			painted[sheet] += math.Abs(pathArea(t, e.attrs["d"]))
		}
	}
	return painted
}

// What is cut from a page is gone from it, and the gutter is no crease there.
// Source: a rectangle 70 long, 30 wide on each side of the fold; a triangle with
// sides 50 and 60 at 40 degrees.
func TestOpeningsAreCutOut(t *testing.T) {
	for _, c := range []struct {
		name, mechanism string
		gone            float64 // of each page, mm²
		from, to        float64 // of the gutter
	}{
		{"a step", `{"id":"steps","kind":"cut_step","on":{"fold":"gutter"},"from":40,"to":110,"left_offset":30,"right_offset":30}`, 70 * 30, 40, 110},
		{"a V", `{"id":"bow","kind":"cut_v","on":{"fold":"gutter"},"at":40,"left":{"base_angle":40,"base_length":50},"ridge_length":60}`,
			0.5 * 50 * 60 * math.Sin(40*math.Pi/180), 40, 100},
	} {
		a := compile(t, spread(c.mechanism))
		painted := areas(t, render(t, a, 180, Options{Camera: Camera{Viewpoint: Top}, Width: 1000}))
		bare := areas(t, render(t, compile(t, spread("")), 180, Options{Camera: Camera{Viewpoint: Top}, Width: 1000}))
		scale2 := bare["page.left"] / (130 * 180)
		for _, page := range []string{"page.left", "page.right"} {
			// Coordinates are rounded to 0.005 px along at most 1500 px.
			if got, want := bare[page]-painted[page], c.gone*scale2; math.Abs(got-want) > 8 {
				t.Errorf("%s: %.6g px² cut from %s, want %.6g", c.name, got, page, want)
			}
		}
		s := sceneFrom(t, a, 120, Camera{})
		for i := range s.faces[:2] {
			for _, ring := range s.faces[i].whole.rings {
				for k, p := range ring {
					q := ring[(k+1)%len(ring)].at
					if middle := p.at.Lerp(q, 0.5); p.side == crease && middle.Y == 0 && middle.X > c.from && middle.X < c.to {
						t.Errorf("%s: a crease from %v to %v, where there is no paper", c.name, p.at, q)
					}
				}
			}
		}
	}
}

// Strips are bands of their width along their path. Source: seen from above
// when the spread is flat, their area is width times length: that given for
// hand-pulled ones, and for the tent's the length of its path.
func TestStripsAreBands(t *testing.T) {
	const tent = `,{"id":"cutter","kind":"slide_tent","on":{"panel":"page.right"},"from":130,"to":170,"fixed_offset":20,"near_width":30,"far_width":35,"travel":30,"strip":{"width":14}}`
	a := compile(t, spread(strings.Replace(handDriven, `"u":120,"v":60`, `"u":90,"v":90`, 1)+tent))
	o := Options{Camera: Camera{Viewpoint: Top}, Width: 2000}
	painted := areas(t, render(t, a, 180, o))
	scale2 := painted["page.left"] / (130 * 180)
	p := posed(a, 180)
	for _, c := range []struct {
		id   string
		want float64 // mm²
	}{
		{"tug.strip", 12 * 90},
		{"sail.strip", 10 * 100},
		{"cutter.strip", 14 * p.Strips[2].Length()},
	} {
		if got, want := painted[c.id], c.want*scale2; math.Abs(got-want) > 1e-3*want {
			t.Errorf("%s: %.6g px², want %.6g", c.id, got, want)
		}
	}
	if painted["cutter.strip"] == 0 || len(a.Strips) != 3 {
		t.Error("not all strips are there")
	}
}

// The window of a wheel is gone from its page, at its place and turned with it,
// and what is seen there is the disc; a piece inside the window falls out.
func TestWindowsAreOpen(t *testing.T) {
	a := compile(t, spread(`{"id":"clock","kind":"wheel","on":{"panel":"page.right"},"place":{"u":90,"v":60,"rotate":90},"radius":40,
		"window":"M10 -12 H34 V12 H10 Z M18 -4 H26 V4 H18 Z"}`))
	s := sceneFrom(t, a, 180, Camera{Viewpoint: Top})
	pic := newPicture(newCutOut(a, DefaultWidth, &Options{}), s.p, s.eye)
	for _, c := range []struct {
		at   geom.Vec2 // in the page
		want int       // the mechanism seen
	}{
		{geom.Vec2{X: 90, Y: 60}, kinematics.Spread},
		{geom.Vec2{X: 90, Y: 75}, 0}, // the frame is turned, so x is along v
		{geom.Vec2{X: 90, Y: 82}, 0},
		{geom.Vec2{X: 105, Y: 60}, kinematics.Spread},
		{geom.Vec2{X: 90, Y: 96}, kinematics.Spread},
	} {
		if got := pic.seenAt(s.eye.project(s.p.Panels[1].At(c.at))); got != c.want {
			t.Errorf("at %v: mechanism %d is seen, want %d", c.at, got, c.want)
		}
	}
}

// A strip drawn along a page lies on it and under what it moves; one in the way
// of a slide lies behind the page.
func TestStripsLieOnTheirPage(t *testing.T) {
	s := sceneFrom(t, compile(t, spread(handDriven)), 160, Camera{Viewpoint: Top})
	place := map[string]int{}
	for i, g := range s.paintOrder() {
		_, id := s.sheet(g.face)
		place[id] = i
	}
	if !(place["page.left"] < place["sail.strip"] && place["sail.strip"] < place["sail.near"] &&
		place["tug.strip"] < place["page.right"] && place["page.right"] < place["tug.slide"]) {
		t.Errorf("painted in the order %v", place)
	}
}

// Every example, at every opening and from every side, shows each panel that is
// posed within the frame.
func TestExamplesAreSound(t *testing.T) {
	for _, name := range designs.Names() {
		document, _ := designs.Read(name)
		a := compile(t, string(document))
		for opening := 0.0; opening <= 180; opening += 20 {
			for _, v := range Viewpoints() {
				svg := render(t, a, opening, Options{Camera: Camera{Viewpoint: v}, Shadow: true, Labels: true, Dimensions: Dimensions()})
				if strings.Contains(svg, "NaN") || strings.Contains(svg, "Inf") {
					t.Fatalf("%s: not every number is finite", name)
				}
				p := posed(a, opening)
				found := areas(t, svg)
				for i := range a.Panels {
					if _, drawn := found[a.Panels[i].ID]; drawn != p.Has(i) {
						t.Errorf("%s at %g: %s drawn: %t, posed: %t", name, opening, a.Panels[i].ID, drawn, p.Has(i))
					}
				}
			}
		}
	}
}
