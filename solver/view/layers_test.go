package view

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// sceneFrom is a scene from a viewpoint.
func sceneFrom(t testing.TB, a *kinematics.Assembly, opening float64, c Camera) *scene {
	t.Helper()
	c, err := c.resolved()
	if err != nil {
		t.Fatal(err)
	}
	p := posed(a, opening)
	return newScene(a, p, aim(c, a, []*kinematics.Pose{p}), DefaultWidth)
}

// panelOrder names the panels, and the parts of strips, in painting order.
func panelOrder(s *scene) []string {
	var out []string
	for _, g := range s.paintOrder() {
		_, id := s.sheet(g.face)
		if g.face.panel == noPanel {
			id = fmt.Sprintf("%s.%d", id, g.face.segment)
		}
		out = append(out, id)
	}
	return out
}

func TestLayers(t *testing.T) {
	figures := `
	  {"id":"sail","kind":"v_fold","on":{"fold":"gutter"},"at":60,"left":{"base_angle":45,"panel_angle":70,"base_length":60},"ridge_length":70},
	  {"id":"patch","kind":"figure","on":{"panel":"sail.left"},"outline":"M0 0 H10 V10 H0 Z","place":{"u":15,"v":5}},
	  {"id":"number","kind":"figure","on":{"panel":"patch.figure"},"outline":"M0 0 H4 V4 H0 Z","place":{"u":3,"v":3}},
	  {"id":"later","kind":"figure","on":{"panel":"sail.left"},"outline":"M0 0 H10 V10 H0 Z","place":{"u":20,"v":8}}`
	nested := `
	  {"id":"lighthouse","kind":"v_fold","on":{"fold":"gutter"},"at":100,"left":{"base_angle":55,"panel_angle":90,"base_length":70},"ridge_length":85},
	  {"id":"gull","kind":"v_fold","on":{"fold":"lighthouse.left_base"},"at":30,"left":{"base_angle":50,"panel_angle":75,"base_length":25},"ridge_length":30}`
	strap := `{"id":"mooring","kind":"strap","on":{"fold":"gutter"},"from":50,"to":80,"left_offset":24,"right_offset":18}`
	cross := `
	  {"id":"spar","kind":"figure","on":{"panel":"page.right"},"outline":"M0 0 H50 V4 H0 Z","place":{"u":40,"v":40}},
	  {"id":"mast","kind":"figure","on":{"panel":"page.right"},"outline":"M8 -8 H12 V30 H8 Z","place":{"u":40,"v":40}}`
	hand := `
	  {"id":"clock","kind":"wheel","on":{"panel":"page.right"},"place":{"u":90,"v":60},"radius":30,"window":"M8 -10 H24 V10 H8 Z"},
	  {"id":"hand","kind":"figure","on":{"panel":"clock.disc"},"outline":"M0 -3 H20 V3 H0 Z","place":{"u":5,"v":0}},
	  {"id":"cloud","kind":"figure","on":{"panel":"page.right"},"outline":"M0 0 H20 V20 H0 Z","place":{"u":90,"v":30}},
	  {"id":"moon","kind":"wheel","on":{"panel":"page.right"},"place":{"u":110,"v":60},"radius":25}`
	signal := `{"id":"signal","kind":"pivot_arm","on":{"panel":"page.right"},"place":{"u":80,"v":30,"rotate":90},
	   "outline":"M-6 -6 H6 V56 H-6 Z","crank":14,"crank_angle":120,"link_length":42,"stroke":18}`
	ferry := `{"id":"ferry","kind":"pull_tab","on":{"panel":"page.left"},"place":{"u":80,"v":55,"rotate":90},
	   "outline":"M-36 -14 H0 L10 0 L0 14 H-36 Z","stroke":25,"strip":{"width":12,"length":70}}`
	below := Camera{Viewpoint: Free, Elevation: radians(-90), Projection: Parallel}

	for _, c := range []struct {
		name       string // why the row is here
		mechanisms string
		opening    float64
		camera     Camera
		// order is a chain of panels that overlap, lowest first as the eye has it.
		order []string
	}{
		// A V that leans away turns its printed faces to the foot of the page.
		{"figures on figures, seen from their printed side", figures, 150, Camera{Viewpoint: Front},
			[]string{"sail.left", "patch.figure", "number.figure"}},
		{"of two figures on one panel the later is on top", figures, 150, Camera{Viewpoint: Front},
			[]string{"sail.left", "patch.figure", "later.figure"}},
		{"figures from behind are under their panel", figures, 150, Camera{Viewpoint: Back},
			[]string{"number.figure", "patch.figure", "sail.left"}},
		{"two figures from behind", figures, 150, Camera{Viewpoint: Back},
			[]string{"later.figure", "patch.figure", "sail.left"}},
		// The overlap holds no corner and no middle of a side of either.
		{"crossed bars", cross, 90, Camera{Viewpoint: Left}, []string{"page.right", "spar.figure", "mast.figure"}},
		{"crossed bars from behind", cross, 90, Camera{Viewpoint: Right}, []string{"mast.figure", "spar.figure", "page.right"}},
		// Shut, what stands on a fold lies between the two faces of the fold.
		{"a shut book from the right", nested, 0, Camera{Viewpoint: Right},
			[]string{"page.left", "gull.left", "gull.right", "lighthouse.left", "lighthouse.right", "page.right"}},
		{"a shut book from the left", nested, 0, Camera{Viewpoint: Left},
			[]string{"page.right", "lighthouse.right", "lighthouse.left", "gull.right", "gull.left", "page.left"}},
		{"a printed figure between panel and page", figures, 0, Camera{Viewpoint: Right},
			[]string{"page.left", "number.figure", "patch.figure", "sail.left", "sail.right", "page.right"}},
		// Open flat, a strap lies on the pages.
		{"a strap from above", strap, 180, Camera{Viewpoint: Top}, []string{"page.left", "mooring.left"}},
		{"a strap from above, right", strap, 180, Camera{Viewpoint: Top}, []string{"page.right", "mooring.right"}},
		{"a strap from below", strap, 180, below, []string{"mooring.left", "page.left"}},
		// What lies behind a page stays behind all that lies on it, and what is
		// on that is between the two.
		{"discs behind a page", hand, 150, Camera{Viewpoint: Top}, []string{"moon.disc", "clock.disc", "hand.figure", "page.right", "cloud.figure"}},
		{"discs from behind", hand, 150, below, []string{"cloud.figure", "page.right", "hand.figure", "clock.disc", "moon.disc"}},
		{"discs behind a page open flat", hand, 180, Camera{Viewpoint: Top}, []string{"moon.disc", "clock.disc", "hand.figure", "page.right", "cloud.figure"}},
		{"discs of a shut book, from the left", hand, 0, Camera{Viewpoint: Left}, []string{"moon.disc", "clock.disc", "hand.figure", "page.right", "cloud.figure", "page.left"}},
		{"link and strip behind a page", signal, 150, Camera{Viewpoint: Top}, []string{"signal.strip.0", "signal.strip.1", "page.right", "signal.arm"}},
		{"link and strip from behind", signal, 150, below, []string{"signal.arm", "page.right", "signal.strip.1", "signal.strip.0"}},
		{"the strip of a slide", ferry, 150, Camera{Viewpoint: Top}, []string{"ferry.strip.0", "page.left", "ferry.slide"}},
		{"the strip of a slide from behind", ferry, 150, below, []string{"ferry.slide", "page.left", "ferry.strip.0"}},
		{"a strap from below, right", strap, 180, below, []string{"mooring.right", "page.right"}},
	} {
		order := panelOrder(sceneFrom(t, compile(t, spread(c.mechanisms)), c.opening, c.camera))
		at := -1
		for _, want := range c.order {
			found := -1
			for i, id := range order {
				if id == want {
					found = i
				}
			}
			if found <= at {
				t.Errorf("%s: painted %v, want %v in turn", c.name, order, c.order)
				break
			}
			at = found
		}
	}
}

// A book that is shut shows the same layers as one open by a few degrees,
// where the panels lie apart and depth decides. The pages are lifted off in
// turn to see what is between them.
func TestShutLayersAreThoseOfANearlyShutBook(t *testing.T) {
	a := compile(t, harbour)
	for _, viewpoint := range []Viewpoint{Left, Right} {
		shut := sceneFrom(t, a, 0, Camera{Viewpoint: viewpoint})
		ajar := sceneFrom(t, a, 0.4, Camera{Viewpoint: viewpoint})
		lift := func(s *scene) (order []*fragment) {
			for _, g := range s.paintOrder() {
				if !s.isPage(g.face) {
					order = append(order, g)
				}
			}
			return order
		}
		shutOrder, ajarOrder := lift(shut), lift(ajar)
		random := rand.New(rand.NewPCG(7, 7))
		seen := 0
	pixels:
		for range 4000 {
			q := geom.Vec2{X: random.Float64()*180 - 90, Y: random.Float64()*130 - 32}
			for i := range shut.faces {
				for _, s := range [2]*scene{shut, ajar} {
					for _, ring := range s.shape(s.faces[i].whole) {
						if geom.PolygonDistance(ring, q) < 1 {
							continue pixels
						}
					}
				}
			}
			got, want := painted(shut, shutOrder, q), painted(ajar, ajarOrder, q)
			if got == nil || want == nil {
				if got != want {
					t.Fatalf("%s at %v: one of the two shows nothing", viewpoint, q)
				}
				continue
			}
			seen++
			if got.face.panel != want.face.panel {
				t.Errorf("%s at %v: %s when shut, %s when ajar", viewpoint, q, a.Panels[got.face.panel].ID, a.Panels[want.face.panel].ID)
			}
		}
		if seen < 100 {
			t.Errorf("%s: only %d pixels show a panel", viewpoint, seen)
		}
	}
}
