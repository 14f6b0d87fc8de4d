package collide

import (
	"math"
	"testing"
)

// What is moved by hand on the face of a page runs into the base line of a tent
// there, from when to when and how far can be read off the plan: the tent's base
// line is 50 from the gutter and runs from 60 to 120 up the page. A slide is 24
// long and 16 wide, the arm 12 wide.
func TestGlidesOverABaseLine(t *testing.T) {
	const tent = `{"id":"quay","kind":"parallel_fold","on":{"fold":"gutter"},"from":60,"to":120,"left":{"base_offset":50,"panel_width":60}}`
	slide := func(place, on string) string {
		return `{"id":"boat","kind":"pull_tab","on":{"panel":"` + on + `"},"place":` + place + `,"outline":"M0 -8 H24 V8 H0 Z","stroke":40,"strip":{"length":80}}`
	}
	for _, c := range []struct {
		name, mechanisms, mover string
		from, to, depth         float64
		source                  string
	}{
		{"along the line", tent + "," + slide(`{"u":20,"v":50}`, "page.right"), "boat.slide", 16, 40, 8, "its head is at 44, half of it on either side"},
		{"across the line", tent + "," + slide(`{"u":80,"v":5,"rotate":90}`, "page.right"), "boat.slide", 21, 40, 12, "its head is at 29; halfway through at 33"},
		{"over and away", tent + "," + slide(`{"u":80,"v":20,"rotate":90}`, "page.right"), "boat.slide", 6, 30, 12, "its head is at 44, its stern at 20"},
		{"past the end", tent + "," + slide(`{"u":14,"v":50}`, "page.right"), "boat.slide", 22, 40, 8, "its head is at 38"},
		{"arm at rest", `{"id":"quay","kind":"parallel_fold","on":{"fold":"gutter"},"from":60,"to":90,"left":{"base_offset":60,"panel_width":66}},
			{"id":"boat","kind":"pivot_arm","on":{"panel":"page.right"},"place":{"u":100,"v":60,"rotate":90},"outline":"M-6 -6 H6 V56 H-6 Z","crank":14,"crank_angle":120,"link_length":42,"stroke":18}`,
			"boat.arm", 0, math.NaN(), math.NaN(), "at rest it is over it"},
		{name: "under the tent", mechanisms: tent + "," + slide(`{"u":40,"v":30}`, "page.right")},
		{name: "below the tent", mechanisms: tent + "," + slide(`{"u":-5,"v":50}`, "page.right")},
		{name: "behind the page", mechanisms: tent + `,{"id":"clock","kind":"wheel","on":{"panel":"page.right"},"place":{"u":90,"v":62},"radius":40,"window":"M10 -12 H32 V12 H10 Z"}`},
		{name: "on the other face", mechanisms: tent + `,{"id":"store","kind":"parallel_fold","on":{"fold":"quay.ridge","side":"inner"},"from":10,"to":40,"left":{"base_offset":20,"panel_width":25}},` +
			slide(`{"u":5,"v":40}`, "quay.right")},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := decode(t, c.mechanisms)
			r := Compile(a, nil).Sweep(Options{})
			if c.mover == "" {
				if len(r.Contacts) > 0 || r.Proved != r.Pairs {
					t.Errorf("%+v", r)
				}
				return
			}
			found, ok := contactOf(a, &r, 0, "quay.right", c.mover)
			if !ok || r.Proved != r.Pairs-1 {
				t.Fatalf("not found: %+v", r)
			}
			const near = 0.05 // mm: the depth is looked at in steps of 0.11
			for _, v := range [][2]float64{{found.From, c.from}, {found.To, c.to}, {found.Depth, c.depth}} {
				if math.Abs(v[0]-v[1]) > near && !math.IsNaN(v[1]) {
					t.Errorf("%+v, want from %g to %g by %g (%s)", found, c.from, c.to, c.depth, c.source)
				}
			}
		})
	}
}
