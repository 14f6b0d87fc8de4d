package pattern

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/design"
	"foldwright/solver/draw"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// quayside has every kind worked by hand, on pages and on a panel.
const quayside = `{
  "title": "Quayside",
  "spread": {"page_width": 160, "page_height": 210, "margin": 5, "corner_radius": 5},
  "mechanisms": [
    {"id": "hatch", "kind": "flap", "on": {"panel": "page.left"}, "place": {"u": 20, "v": 20}, "hinge_length": 30, "depth": 7},
    {"id": "shell", "kind": "flap", "on": {"panel": "page.left"}, "place": {"u": 70, "v": 60}, "hinge_length": 40, "depth": 20,
     "profile": "M0 0 A20 16 0 0 0 40 0"},
    {"id": "vane", "kind": "wheel", "on": {"panel": "page.left"}, "place": {"u": 155, "v": 135}, "radius": 35,
     "window": "M-20 -6 H-8 V6 H-20 Z M-26 -3 A3 3 0 0 0 -26 3 Z", "detents": 12},
    {"id": "sail", "kind": "pull_tab", "on": {"panel": "page.right"}, "place": {"u": 60, "v": 70, "rotate": 90}, "moves": "tent",
     "tent": {"near_width": 25, "far_width": 25, "along": 40}, "stroke": 20, "strip": {"width": 12, "length": 105}},
    {"id": "fish", "kind": "pull_tab", "on": {"panel": "page.right"}, "place": {"u": 80, "v": 90, "rotate": 10},
     "outline": "M0 0 H20 V14 H0 Z M4 8 H8 V11 H4 Z", "stroke": 15, "strip": {"width": 10, "length": 45}},
    {"id": "crane", "kind": "pivot_arm", "on": {"panel": "page.right"}, "place": {"u": 185, "v": 40, "rotate": 95},
     "outline": "M-5 -5 H5 V30 H-5 Z", "crank": 12, "crank_angle": 110, "link_length": 40, "stroke": 14, "strip": {"length": 80}},
    {"id": "roof", "kind": "parallel_fold", "on": {"fold": "gutter"}, "from": 20, "to": 100, "left": {"base_offset": 15, "panel_width": 40}},
    {"id": "oar", "kind": "wheel", "on": {"panel": "roof.right"}, "place": {"u": 65, "v": 20}, "radius": 17, "detents": 5},
    {"id": "gull", "kind": "figure", "on": {"panel": "roof.left"}, "place": {"u": 10, "v": 25},
     "outline": "M0 0 H12 V20 H20 V36 H-6 V20 H0 Z", "fix": "tab_in_slot", "tab": {"at": 6, "width": 8}},
    {"id": "kite", "kind": "figure", "on": {"panel": "roof.right"}, "place": {"u": 25, "v": 21}, "outline": "M0 0 H14 V34 H0 Z"}
  ]
}`

// necksOf finds the necks of figures alone.
func necksOf(a *kinematics.Assembly) [][]neck {
	m := newMaker(a, DefaultOptions())
	m.findTurns()
	m.layOutPanels()
	m.findNecks()
	return m.necks
}

// onPage is one mechanism on a page of 500 mm.
func onPage(page, mechanism string) string {
	return one(fmt.Sprintf(`{"id":"tug","on":{"panel":%q},%s}`, page, mechanism))
}

func TestPartsOfTheQuayside(t *testing.T) {
	_, p := cleanPattern(t, quayside)
	want := strings.Fields(`page hatch shell vane vane.hub sail sail.strip sail.guide_1 sail.guide_2
		fish fish.strip fish.guide_1 fish.guide_2 fish.runner
		crane crane.link crane.strip crane.guide_1 crane.guide_2 crane.pivot_hub crane.joint_hub crane.strip_hub
		roof oar oar.hub gull kite`)
	var got []string
	for i := range p.Parts {
		got = append(got, p.Parts[i].ID)
	}
	if !slices.Equal(got, want) {
		t.Errorf("parts\n%v, want\n%v", got, want)
	}
	for _, row := range []struct {
		part  string
		grain geom.Vec2
		why   string
	}{
		{"hatch", geom.Vec2{X: 1}, "along the hinge"},
		{"fish.strip", geom.Vec2{Y: 1}, "along a pull strip"},
		{"sail.strip", geom.Vec2{Y: 1}, "along a pull strip"},
		{"vane", geom.Vec2{X: 1}, "as the page, whose gutter runs along u, across the disc's part"},
	} {
		if g := p.Part(row.part).Grain; math.Abs(g.Cross(row.grain)) > 1e-9 {
			t.Errorf("grain of %s is %v, want %v: %s", row.part, g, row.grain, row.why)
		}
	}
}

// Both sides of every joint are marked, with equal areas, but where a figure
// stops at a ridge.
func checkJoints(t rapid.TB, p *Pattern) {
	for _, j := range p.Joints {
		mine, its := p.Part(j.Part).tab(j.Label), p.Part(j.Host).mark(j.Label)
		if mine == nil || its == nil {
			t.Errorf("joint %s, %s, is not marked on both %s and %s", j.Label, j.ID, j.Part, j.Host)
			continue
		}
		approx(t, "area of mark "+j.ID, its.Path.Area(), mine.Path.Area(), 1e-3)
	}
}

func TestQuaysideJoints(t *testing.T) {
	_, p := cleanPattern(t, quayside)
	checkJoints(t, p)
}

// A tab under a flap is hidden by it: it keeps a hem inside the far edge.
func TestFlapHidesItsTab(t *testing.T) {
	_, p := cleanPattern(t, quayside)
	hatch := p.Part("hatch")
	// Source: a flap 7 mm deep less the hem of 1 mm; the depth is fitted in steps
	// of 0.05.
	if size := hatch.Size(); math.Abs(size.Y-13) > depthStep || size.Y > 13 {
		t.Errorf("hatch is %v with its tab, want 7 and 6 deep", size)
	}
	for _, j := range p.Joints {
		if j.ID == "shell.hinge" && (j.Length != 40 || j.Depth != 10) {
			t.Errorf("tab of the shell %+v: its half ellipse, 16 deep, covers all of it", j)
		}
	}
	// A profile drawn to the far side of the hinge leaves nothing to hide a tab.
	p = mustMake(t, assembly(t, onPage("page.left", `"kind":"flap","place":{"u":70,"v":60},"hinge_length":40,"depth":20,"profile":"M0 0 A20 16 0 0 1 40 0"`)), DefaultOptions())
	if len(p.Problems) != 1 || p.Problems[0].Code != CodeNoTab {
		t.Errorf("problems %+v, want %s", p.Problems, CodeNoTab)
	}
}

// lens is the area two circles share, radii r and s, centres d apart (the
// textbook sum of two circular segments).
func lens(r, s, d float64) float64 {
	segment := func(r, x float64) float64 { return r*r*math.Acos(x/r) - x*math.Sqrt(r*r-x*x) }
	x := (d*d + r*r - s*s) / (2 * d)
	return segment(r, x) + segment(s, d-x)
}

func TestDisc(t *testing.T) {
	for _, row := range []struct {
		radius, hole float64
		detents      int
	}{{35, 4, 12}, {20, 6, 5}, {60, 5, 72}, {15, 4, 0}} {
		_, p := cleanPattern(t, onPage("page.right", fmt.Sprintf(`"kind":"wheel","place":{"u":250,"v":250},"radius":%g,"pivot_hole":%g,"detents":%d`, row.radius, row.hole, row.detents)))
		disc, page := p.Part("tug"), p.Part("page")
		// Source: 1.5 mm, or a quarter of the pitch on the rim.
		bite := 1.5
		if row.detents > 0 {
			bite = min(bite, math.Pi*row.radius/float64(2*row.detents))
		}
		want := math.Pi*(row.radius*row.radius-row.hole*row.hole/4) - float64(row.detents)*lens(row.radius, bite, row.radius)
		approx(t, "area of the disc", disc.Area(), want, 1e-6)
		// A full rim less the arcs in the bites, and the arcs of the bites inside:
		// both from the triangle of two radii and a bite's radius.
		half := math.Acos(1 - bite*bite/(2*row.radius*row.radius))
		rim := 2*math.Pi*row.radius + float64(row.detents)*(2*bite*math.Acos(bite/(2*row.radius))-2*half*row.radius)
		approx(t, "length of the rim", disc.Outline.Length(), rim, 1e-6)
		for _, hole := range []geom.Path{disc.Holes, page.Holes[:1]} {
			if box := hole.Bounds(); math.Abs(box.Size().X-row.hole) > 1e-9 || math.Abs(box.Size().Y-row.hole) > 1e-9 {
				t.Errorf("a pivot hole of %v, want %g", box.Size(), row.hole)
			}
		}
		near(t, "pivot on the page", page.Holes[0:1].Bounds().Center(), geom.Vec2{X: 250, Y: 250}, 1e-9)
		// The middles of the bites are at even angles, the first at the zero.
		for k := range row.detents {
			a := 2 * math.Pi * float64(k) / float64(row.detents)
			at := disc.Panels[0].Place.Apply(geom.Vec2{X: (row.radius - bite) * math.Cos(a), Y: (row.radius - bite) * math.Sin(a)})
			approx(t, fmt.Sprintf("bite %d", k), geom.PolygonDistance(disc.Outline.Flatten(1e-4)[0], at), 0, 2e-4)
		}
		zero := disc.Panels[0].Place.Inverse().Apply(disc.Guides[0].Start)
		if zero.X <= 0 || math.Abs(zero.Y) > 1e-9 {
			t.Errorf("the tick of the zero is at %v of the disc", zero)
		}
	}
}

// Bites too small to feel are left out: the rim stays a circle.
func TestCrowdedDetents(t *testing.T) {
	if got := discShape(10, 72).Area(); math.Abs(got-math.Pi*100) > 1e-9 {
		t.Errorf("a disc of %g with 72 bites, want a plain one", got)
	}
}

// The hub turns in its hole with the clearance of a pivot, and its legs reach
// through what it holds together.
func TestHubFitsItsHole(t *testing.T) {
	for _, hole := range []float64{3.5, 4, 8, 12} {
		_, p := cleanPattern(t, onPage("page.left", fmt.Sprintf(`"kind":"wheel","place":{"u":250,"v":250},"radius":40,"pivot_hole":%g`, hole)))
		hub := p.Part("tug.hub")
		for _, c := range hub.Creases {
			for _, q := range []geom.Vec2{c.From, c.To} {
				// Source: 0.4, from the common practice of 0.3 to 0.5.
				approx(t, "diameter of the hub", 2*q.Norm(), hole-0.4, 1e-9)
			}
			if c.Kind != Mountain {
				t.Error("legs go down, away from the cap's face")
			}
		}
		if len(hub.Creases) != 2 || len(hub.Cuts) != 4 {
			t.Fatalf("%d creases and %d slits, want 2 and 4", len(hub.Creases), len(hub.Cuts))
		}
		tab, mark := hub.tab("A"), p.Part("tug").mark("A")
		// From bend to glue a leg goes through two sheets and a gap's clearance,
		// and from the bend out to the glue on the disc.
		bend := hub.Creases[0].From.X
		glue, on := tab.Path[0].Start.X, mark.Path.Bounds().Max.X
		approx(t, "leg", glue-bend-(on-legGlue-bend), 2*0.3+0.2, 1e-9)
		if tab.OnBack || !mark.OnBack {
			t.Error("the front of a leg meets the back of the disc")
		}
		if hub.Size().Y <= hole+2*leastCap {
			t.Errorf("a cap of %g over a hole of %g", hub.Size().Y, hole)
		}
	}
	// Source: legs of (d - 0.4)/√2 need 2 mm: d of 3.23 at least.
	_, p := cleanPattern(t, onPage("page.left", `"kind":"wheel","place":{"u":250,"v":250},"radius":40,"pivot_hole":3.2`))
	if p.Part("tug.hub") != nil {
		t.Error("a hub of paper for a hole of 3.2 mm")
	}
}

// A thumb slot lies over the rim, clear of the window; a disc past the edge of
// its page needs none.
func TestThumbSlot(t *testing.T) {
	wheel := `"kind":"wheel","radius":35,"window":"M8 -10 H26 V10 H8 Z"`
	_, p := cleanPattern(t, onPage("page.left", wheel+`,"place":{"u":250,"v":200}`))
	page := p.Part("page")
	if len(page.Holes) != 3 {
		t.Fatalf("%d holes, want pivot, window and thumb slot", len(page.Holes))
	}
	pivot := geom.Vec2{X: -200, Y: 250}
	least, most := math.Inf(1), 0.0
	for _, q := range page.Holes[2:3].Flatten(1e-4)[0] {
		least, most = min(least, q.Sub(pivot).Norm()), max(most, q.Sub(pivot).Norm())
	}
	approx(t, "inner side of the slot", least, 35-7, 1e-3)
	approx(t, "outer side of the slot", most, 35+2, 1e-3)
	// Source: a middle line of 15 mm and half circles: 15·9 + π·4.5².
	approx(t, "area", -page.Holes[2:3].Area(), 15*9+math.Pi*4.5*4.5, 1e-6)
	// Towards the free edge and not the gutter.
	if at := page.Holes[2:3].Bounds().Center(); at.X > -200-10 && at.Y < 260 && at.Y > 240 {
		t.Errorf("the slot is at %v of the page", at)
	}
	for _, row := range []struct {
		v     float64
		holes int
	}{{469, 3}, {470, 2}, {480, 2}} { // 4 and 5 mm past the edge at 500
		p := mustMake(t, assembly(t, onPage("page.left", wheel+fmt.Sprintf(`,"place":{"u":250,"v":%g}`, row.v))), DefaultOptions())
		if got := len(p.Part("page").Holes); got != row.holes {
			t.Errorf("pivot at %g: %d holes, want %d", row.v, got, row.holes)
		}
	}
}

// inPlane is where a point of space lies in a panel.
func inPlane(f *geom.Frame, q geom.Vec3) geom.Vec2 { l := f.Local(q); return geom.Vec2{X: l.X, Y: l.Y} }

// sliderCrank is the angle of the crank when the strip is at x, found by
// bisection of the forward form x(θ) = r·cos θ + √(ℓ² - r²·sin² θ), which falls
// from θ = 0 to π. The package uses the law of cosines.
func sliderCrank(r, l, x float64) float64 {
	lo, hi := 0.0, math.Pi
	for range 100 {
		mid := (lo + hi) / 2
		if s := r * math.Sin(mid); r*math.Cos(mid)+math.Sqrt(l*l-s*s) > x {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

func TestArcSlotOfAnArm(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		number := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		crank, rest := number("crank", 12, 40), number("rest", 60, 130)
		link := crank + number("longer", 5, 60)
		hole := number("hole", 3.5, 6)
		page := rapid.SampledFrom([]string{"page.left", "page.right"}).Draw(t, "page")
		a := assembly(t, onPage(page, fmt.Sprintf(`"kind":"pivot_arm","place":{"u":250,"v":200,"rotate":%g},"outline":"M-5 -5 H5 V60 H-5 Z","pivot_hole":%g,
			"crank":%g,"crank_angle":%g,"link_length":%g,"stroke":%g,"strip":{"length":140}`, number("rotate", -180, 180), hole, crank, rest, link, crank/3)))
		p := mustMake(t, a, DefaultOptions())
		part, place := placements(p, a)
		host := a.PanelIndex(page)
		if len(part[host].Slots) != 1 {
			t.Fatalf("%d slots, problems %+v", len(part[host].Slots), p.Problems)
		}
		slot := part[host].Slots[0].Path
		spec := a.Design.Mechanisms[0].Spec.(*design.PivotArm)
		swept := float64(geom.Degrees(rest)) - sliderCrank(crank, link, spec.Slider()+crank/3)
		// Source: a band of the hole's width along the arc, and two half circles.
		approx(t, "area", slot.Area(), crank*swept*hole+math.Pi*hole*hole/4, 1e-6)
		approx(t, "length", slot.Length(), 2*crank*swept+math.Pi*hole, 1e-6)
		// The joint, as the kinematics has it, stays a half width from the slot's
		// sides, and at both ends of the stroke from its end too.
		pose := a.NewPose()
		ring := slot.Flatten(1e-4)[0]
		for k := range 11 {
			a.PoseInto(pose, kinematics.Drive{Opening: math.Pi, Hand: []float64{crank / 3 * float64(k) / 10}})
			q := place[host].Apply(inPlane(&pose.Panels[host], pose.Strips[0].Path()[0]))
			approx(t, "room of the joint", geom.PolygonDistance(ring, q), hole/2, 1e-3)
			if !geom.PolygonContains(ring, q) {
				t.Errorf("the joint is outside its slot at %v", q)
			}
		}
		// Holes of the arm at pivot and joint, of the link a link apart.
		arm := p.Part("tug")
		near(t, "holes of the arm", arm.Holes[0:1].Bounds().Center(), place[a.PanelIndex("tug.arm")].Apply(geom.Vec2{}), 1e-9)
		approx(t, "crank", arm.Holes[1:2].Bounds().Center().Sub(arm.Holes[0:1].Bounds().Center()).Norm(), crank, 1e-9)
		if n := len(arm.Holes); n != 2 {
			t.Errorf("%d holes in the arm", n)
		}
		l := p.Part("tug.link")
		approx(t, "link", l.Holes[1:2].Bounds().Center().Sub(l.Holes[0:1].Bounds().Center()).Norm(), link, 1e-9)
		// Paper all round both holes of the arm, whatever its outline.
		outline := arm.Outline.Flatten(1e-4)[0]
		for i := range arm.Holes {
			if d := geom.PolygonDistance(outline, arm.Holes[i:i+1].Bounds().Center()); d < hole/2+minWeb-1e-3 {
				t.Errorf("hole %d of the arm is %g from its edge", i, d)
			}
		}
	})
}

// drawHandStrip draws a document with one strip, clear of every edge; link is
// the length of what comes before the strip, or 0.
func drawHandStrip(t *rapid.T) (document string, stroke, width, length, link float64) {
	number := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	stroke, width = number("stroke", 5, 40), number("width", 6, 25)
	place := fmt.Sprintf(`"place":{"u":%g,"v":%g,"rotate":%g}`, number("u", 230, 270), number("v", 230, 270), number("rotate", -180, 180))
	page := rapid.SampledFrom([]string{"page.left", "page.right"}).Draw(t, "page")
	var fields string
	switch rapid.SampledFrom([]string{"slide", "tent", "arm"}).Draw(t, "kind") {
	case "slide":
		length = number("length", 40, 80) + stroke
		fields = `"kind":"pull_tab","outline":"M-30 -12 H0 L8 0 L0 12 H-30 Z"`
	case "tent":
		near := number("near", 20, 40)
		length = number("length", 40, 80) + stroke + 2*near
		fields = fmt.Sprintf(`"kind":"pull_tab","moves":"tent","tent":{"near_width":%g,"far_width":%g,"along":50}`, near, near)
		stroke = min(stroke, near)
	default:
		length, link = number("length", 50, 80)+2*stroke, 90
		fields = `"kind":"pivot_arm","outline":"M-5 -5 H5 V60 H-5 Z","crank":50,"crank_angle":100,"link_length":90`
	}
	return onPage(page, fmt.Sprintf(`%s,%s,"stroke":%g,"strip":{"width":%g,"length":%g}`, fields, place, stroke, width, length)), stroke, width, length, link
}

// levels are the heights of a strip's outline where its width changes.
func levels(strip *Part, half float64) (wide []float64) {
	for _, s := range strip.Outline[0].Segments {
		if s.Kind == geom.Line && s.To.X > half+1e-9 {
			wide = append(wide, s.To.Y)
		}
	}
	slices.Sort(wide)
	return wide
}

// The block runs from one guide to the other as far as the stroke, at rest it
// stands against the first; and the strip is as long to its grip as the strip of
// the kinematics.
func TestStopsAllowTheStroke(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		document, stroke, width, length, link := drawHandStrip(t)
		a := assembly(t, document)
		p := mustMake(t, a, DefaultOptions())
		part, place := placements(p, a)
		for _, problem := range p.Problems {
			if problem.Code == CodeStripShort || problem.Code == CodeNoGuide {
				t.Fatalf("%+v", problem)
			}
		}
		pose := a.NewPose()
		a.PoseInto(pose, kinematics.Drive{Opening: math.Pi})
		path := pose.Strips[0].Path()
		if link > 0 {
			approx(t, "link", path[1].Sub(path[0]).Norm(), link, 1e-9)
			path = path[1:]
		}
		approx(t, "strip to its grip", path[1].Sub(path[0]).Norm(), length, 1e-9)

		// Along the pull on the host, from where the strip starts.
		host := a.Folds[0].Panels[0]
		if a.Design.Mechanisms[0].On.Panel == "page.right" {
			host = a.Folds[0].Panels[1]
		}
		toPart := func(q geom.Vec3) geom.Vec2 { return place[host].Apply(inPlane(&pose.Panels[host], q)) }
		from := toPart(path[0])
		along := toPart(path[1]).Sub(from).Unit()
		var ends [2][2]float64
		for i := range 2 {
			ends[i] = [2]float64{math.Inf(1), math.Inf(-1)}
			for _, j := range p.Joints {
				if j.ID != fmt.Sprintf("tug.guide_%d", i+1) {
					continue
				}
				inner := math.Inf(1)
				for _, ring := range part[host].mark(j.Label).Path.Flatten(flatTolerance) {
					for _, q := range ring {
						u := along.Dot(q.Sub(from))
						ends[i] = [2]float64{min(ends[i][0], u), max(ends[i][1], u)}
						inner = min(inner, math.Abs(along.Cross(q.Sub(from))))
					}
				}
				// Source: 0.5 to 1 mm more than the strip, common practice.
				approx(t, "room between the glued ends", 2*inner, width+0.7, 1e-6)
			}
		}
		strip := p.Part("tug.strip")
		var block []float64
		for _, y := range levels(strip, width/2) {
			if y > ends[0][0] && y < ends[1][1] {
				block = append(block, y)
			}
		}
		if len(block) != 2 {
			t.Fatalf("a block at %v between guides at %v", block, ends)
		}
		approx(t, "shoulder at rest", block[0], ends[0][1], 1e-9)
		approx(t, "shoulder to the other guide", ends[1][0]-block[1], stroke, 1e-9)
		if ends[1][1] > length {
			t.Errorf("the second guide ends at %g, the grip starts at %g", ends[1][1], length)
		}
		approx(t, "end of the grip", strip.Bounds().Max.Y, length+gripLong, 1e-9)
	})
}

// Where two guides and a block have no room, one guide stands between two
// blocks, as far from them together as the stroke.
func TestOneGuideBetweenTwoBlocks(t *testing.T) {
	for _, row := range []struct {
		name               string
		u, stroke, length  float64
		guideTo, blockLong float64
	}{
		// Source: from the grip back 1 mm, a block of 4 and a band of 5 end at
		// 44-1-4, just where the stroke of 30 and the other block start.
		{"short strip", 200, 30, 44, 39, 4},
		{"page edge 40 mm on", 460, 30, 80, 40, 4},
	} {
		_, p := cleanPattern(t, onPage("page.right", fmt.Sprintf(`"kind":"pull_tab","place":{"u":200,"v":%g,"rotate":90},"outline":"M-30 -12 H0 L8 0 L0 12 H-30 Z","stroke":%g,"strip":{"length":%g}`, row.u, row.stroke, row.length)))
		if p.Part("tug.guide_1") == nil || p.Part("tug.guide_2") != nil {
			t.Fatalf("%s: want one guide", row.name)
		}
		var guide geom.Box2
		for _, j := range p.Joints {
			if j.ID == "tug.guide_1" {
				guide = p.Part("page").mark(j.Label).Path.Bounds()
			}
		}
		approx(t, row.name+": guide", guide.Max.X-row.u, row.guideTo, 1e-9)
		var at []float64
		for _, y := range levels(p.Part("tug.strip"), 6) {
			if y < row.length-1e-9 {
				at = append(at, y)
			}
		}
		if len(at) != 4 {
			t.Fatalf("%s: blocks at %v", row.name, at)
		}
		approx(t, row.name+": block", at[1]-at[0], row.blockLong, 1e-9)
		approx(t, row.name+": stop at rest", at[2], guide.Max.X-row.u, 1e-9)
		approx(t, row.name+": stop of the pull", guide.Min.X-row.u-at[1], row.stroke, 1e-9)
	}
}

// Slide and strip hang together through the slot all along the stroke: the two
// halves of the runner meet in its middle line, at its ends with half the
// clearance to spare.
func TestRunnerKeepsToItsSlot(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		number := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		stroke := number("stroke", 5, 40)
		page := rapid.SampledFrom([]string{"page.left", "page.right"}).Draw(t, "page")
		outline := rapid.SampledFrom([]string{"M0 0 H20 V14 H0 Z", "M0 0 H20 V-14 H0 Z", "M-30 -12 H0 L8 0 L0 12 H-30 Z", "M5 -8 H40 V9 H5 Z M20 -2 H24 V2 H20 Z"}).Draw(t, "outline")
		a := assembly(t, onPage(page, fmt.Sprintf(`"kind":"pull_tab","place":{"u":%g,"v":%g,"rotate":%g},"outline":%q,"stroke":%g,"strip":{"width":%g,"length":%g}`,
			number("u", 200, 300), number("v", 200, 300), number("rotate", -180, 180), outline, stroke, number("width", 5, 20), 40+stroke)))
		p := mustMake(t, a, DefaultOptions())
		part, place := placements(p, a)
		host, slide := a.PanelIndex(page), a.PanelIndex("tug.slide")
		if len(part[host].Slots) != 1 {
			t.Fatalf("%d slots, problems %+v", len(part[host].Slots), p.Problems)
		}
		marks := map[string]*GlueArea{}
		long := 0.0
		for _, j := range p.Joints {
			marks[j.ID] = p.Part(j.Host).mark(j.Label)
			if j.ID == "tug.runner.strip" {
				long = j.Length
			}
		}
		slot := part[host].Slots[0].Path
		// Source: a rectangle as long as stroke, runner and clearance, as wide as
		// a sheet and its clearance.
		approx(t, "area of the slot", slot.Area(), (stroke+long+0.7)*(0.3+0.2), 1e-6)
		approx(t, "its edge", slot.Length(), 2*(stroke+long+0.7+0.5), 1e-6)
		ring := slot.Flatten(flatTolerance)[0]
		pose := a.NewPose()
		for k := range 3 {
			a.PoseInto(pose, kinematics.Drive{Opening: math.Pi, Hand: []float64{stroke * float64(k) / 2}})
			path := pose.Strips[0].Path()
			out := pose.Panels[host].Normal().Mul(a.Panels[host].Printed)
			up := path[1].Sub(path[0]).Unit()
			onStrip := func(q geom.Vec2) geom.Vec3 { return path[0].Add(up.Cross(out).Mul(q.X)).Add(up.Mul(q.Y)) }
			onSlide := func(q geom.Vec2) geom.Vec3 {
				return pose.Panels[slide].At(place[slide].Inverse().Apply(q))
			}
			meet := 0
			for _, q := range marks["tug.runner.strip"].Path.Flatten(flatTolerance)[0] {
				for _, r := range marks["tug.runner.slide"].Path.Flatten(flatTolerance)[0] {
					w := onStrip(q)
					if onSlide(r).Sub(w).Norm() > 1e-6 {
						continue
					}
					meet++
					at := place[host].Apply(inPlane(&pose.Panels[host], w))
					if !geom.PolygonContains(ring, at) {
						t.Errorf("the runner leaves its slot at a pull of %g", stroke*float64(k)/2)
					}
					approx(t, "from the side of the slot", geom.PolygonDistance(ring, at), 0.25, 1e-6)
				}
			}
			if meet != 2 {
				t.Fatalf("the halves of the runner share %d corners at pull %d, want 2", meet, k)
			}
		}
		// The runner has both halves side by side.
		approx(t, "runner", p.Part("tug.runner").Area(), marks["tug.runner.strip"].Path.Area()+marks["tug.runner.slide"].Path.Area(), 1e-6)
	})
}

// The fixed edge of a tent has a gap for the strip; its ridge is a mountain on
// either page; the strip is glued under its far edge.
func TestPulledTent(t *testing.T) {
	for _, page := range []string{"page.left", "page.right"} {
		_, p := cleanPattern(t, onPage(page, `"kind":"pull_tab","moves":"tent","place":{"u":200,"v":200,"rotate":30},
			"tent":{"near_width":30,"far_width":35,"along":50},"stroke":20,"strip":{"width":12,"length":120}`))
		tent := p.Part("tug")
		base, ridge := 0.0, tent.crease("tug.ridge")
		for _, c := range tent.Creases {
			if c.ID == "tug.near_base" {
				base += c.Length()
				if c.Kind != Mountain {
					t.Errorf("%s: the tab goes under, away from the reader", page)
				}
			}
		}
		// Source: strip width and 0.7, of the common practice of 0.5 to 1.
		approx(t, "base less the gap", base, 50-12.7, 1e-6)
		if ridge.Kind != Mountain || ridge.Length() != 50 {
			t.Errorf("%s: ridge %+v", page, ridge)
		}
		strip := p.Part("tug.strip")
		near(t, "strip", strip.Size(), geom.Vec2{X: 18, Y: 10 + 120 + 15}, 1e-9) // block of 12 + 2·3, end, grip
		pull := strip.crease("tug.strip.pull")
		// Source: the strip lies flat under the flat tent; drawn by 20 the
		// triangle 30, 35, 45 has the angle acos((35² + 45² - 30²)/(2·35·45)) there.
		approx(t, "least angle at the far edge", pull.AngleMin.Degrees(), 0, 1e-6)
		approx(t, "greatest angle", float64(pull.AngleMax), math.Acos((35*35+45*45-30*30)/(2*35*45.0)), 1e-9)
		for _, j := range p.Joints {
			its, mine := p.Part(j.Host).mark(j.Label), p.Part(j.Part).tab(j.Label)
			if j.ID == "tug.strip.pull" {
				// The whole end under the panel, back to back.
				approx(t, "glued end", mine.Path.Area(), 12*10, 1e-9)
				approx(t, "its mark", its.Path.Area(), 12*10, 1e-9)
				if !mine.OnBack || !its.OnBack || j.Host != "tug" {
					t.Errorf("%s: the end of the strip is glued at %+v to %+v", page, mine, its)
				}
			}
			if front := strings.HasPrefix(j.ID, "tug.guide"); front && (its.OnBack || !mine.OnBack) {
				t.Errorf("%s: guides of a strip in front are glued to the page's face", j.ID)
			}
		}
	}
}

// An angle's range takes in what the hand moves.
func TestHingeRange(t *testing.T) {
	_, p := cleanPattern(t, onPage("page.left", `"kind":"flap","place":{"u":70,"v":60},"hinge_length":40,"depth":20,"opens_to":150`))
	c := p.Part("tug").crease("tug.hinge")
	approx(t, "shut", c.AngleMax.Degrees(), 180, 1e-6)
	approx(t, "open", c.AngleMin.Degrees(), 30, 1e-6)
}

// A grip ends out of the page, at its edge or inside it.
func TestGripIsWithinReach(t *testing.T) {
	slide := func(length float64) string {
		return onPage("page.right", fmt.Sprintf(`"kind":"pull_tab","place":{"u":200,"v":400,"rotate":90},"outline":"M-30 -12 H0 L8 0 L0 12 H-30 Z","stroke":20,"strip":{"length":%g}`, length))
	}
	for _, row := range []struct {
		length float64 // the grip of 15 starts here; the edge is at 100
		notch  float64 // radius, or 0
		holes  int
	}{
		{93, 0, 0},    // 8 mm out
		{92.9, 8, 0},  // a thumb's notch
		{80, 15, 0},   // 5 inside: 10 of the grip are bare
		{75, 20, 0},   // 10 inside
		{60, 0, 1},    // a thumb slot of 33 by 10, to 94
		{74.9, 0, -1}, // the thumb slot would reach to 108.9
	} {
		p := mustMake(t, assembly(t, slide(row.length)), DefaultOptions())
		page := p.Part("page")
		lost := 500000 - math.Abs(page.Outline.Area())
		approx(t, fmt.Sprintf("notch for a strip of %g", row.length), lost, math.Pi*row.notch*row.notch/2, 1e-3)
		if row.holes < 0 {
			if len(p.Problems) != 1 || p.Problems[0].Code != CodeNoThumb || !strings.Contains(p.Problems[0].Detail, "0.10 mm longer") {
				t.Errorf("a strip of %g: %+v", row.length, p.Problems)
			}
			continue
		}
		if len(p.Problems) > 0 || len(page.Holes) != row.holes {
			t.Errorf("a strip of %g: %d holes, %+v", row.length, len(page.Holes), p.Problems)
		}
		if row.holes == 1 {
			approx(t, "thumb slot", -page.Holes.Area(), (33-10)*10+math.Pi*25, 1e-6)
		}
	}
}

func TestHandProblems(t *testing.T) {
	slide := `"kind":"pull_tab","outline":"M-30 -12 H0 L8 0 L0 12 H-30 Z"`
	arm := `"kind":"pivot_arm","outline":"M-5 -5 H5 V45 H-5 Z","place":{"u":250,"v":200},"strip":{"length":90}`
	for _, row := range []struct {
		name, fields, pointer, number string
		code                          Code
	}{
		{"window past the disc", `"kind":"wheel","radius":35,"place":{"u":250,"v":250},"window":"M10 -5 H38 V5 H10 Z"`, "/window", fmt.Sprintf("%.2f mm", math.Hypot(38, 5)-35), CodeWindowOffDisc},
		{"window under the cap", `"kind":"wheel","radius":35,"place":{"u":250,"v":250},"window":"M4.5 -5 H20 V5 H4.5 Z"`, "/window", "0.50 mm", CodeNarrowWeb},
		{"window off the page", `"kind":"wheel","radius":35,"place":{"u":480,"v":250},"window":"M15 -5 H25 V5 H15 Z"`, "/window", "5.00 mm", CodeSlotOffPanel},
		{"island in the window", `"kind":"wheel","radius":35,"place":{"u":250,"v":250},"window":"M8 -10 H28 V10 H8 Z M13 -3 H20 V3 H13 Z"`, "/window", "held by nothing", CodePieces},
		{"disc over the gutter", `"kind":"wheel","radius":35,"place":{"u":250,"v":30}`, "/place", "5.00 mm", CodeOverCrease},
		{"disc too small", `"kind":"wheel","radius":10,"place":{"u":250,"v":250}`, "/radius", "4.00 mm", CodeNoThumb},
		{"slide beside its strip", `"kind":"pull_tab","outline":"M0 20 H30 V40 H0 Z","stroke":10,"place":{"u":200,"v":200}`, "/outline", "5 mm by 4 mm", CodeNoRunner},
		{"short strip", slide + `,"place":{"u":200,"v":200},"stroke":30,"strip":{"length":35}`, "/strip/length", "9.00 mm", CodeStripShort},
		{"strip over the gutter", slide + `,"place":{"u":200,"v":80,"rotate":-90},"stroke":20,"strip":{"length":55}`, "/strip/length", "12.00 mm", CodeOverCrease},
		{"guides off the page", slide + `,"place":{"u":10,"v":200,"rotate":90},"stroke":20,"strip":{"length":60}`, "/place", "4.35 mm", CodeNoGuide},
		{"no way to the edge", slide + `,"place":{"u":200,"v":470,"rotate":90},"stroke":30,"strip":{"length":60}`, "/place", "9.00 mm", CodeNoGuide},
		{"stroke past the lock", arm + `,"crank":30,"link_length":40,"crank_angle":60,"stroke":40`, "/stroke", fmt.Sprintf("%.2f mm", 40-(70-(15+math.Sqrt(1600-675)))), CodeLocks},
		{"arm beside its pivot", `"kind":"pivot_arm","outline":"M60 60 H70 V90 H60 Z","place":{"u":250,"v":200},"strip":{"length":90},"crank":20,"link_length":40,"stroke":10`, "/outline", "2 pieces", CodePieces},
		{"short crank", arm + `,"crank":6,"link_length":40,"stroke":4`, "/crank", "1.40 mm", CodeNarrowWeb},
	} {
		p := mustMake(t, assembly(t, onPage("page.right", row.fields)), DefaultOptions())
		found := false
		for _, problem := range p.Problems {
			found = found || problem.Code == row.code && problem.Pointer == "/mechanisms/0"+row.pointer && strings.Contains(problem.Detail, row.number)
		}
		if !found {
			t.Errorf("%s: problems %+v, want %s at %s with %q", row.name, p.Problems, row.code, row.pointer, row.number)
		}
	}
	// A window over the place of a tab.
	p := mustMake(t, assembly(t, one(`{"id":"quay","kind":"parallel_fold","on":{"fold":"gutter"},"from":50,"to":110,"left":{"base_offset":40,"panel_width":50}},
		{"id":"tide","kind":"wheel","on":{"panel":"page.left"},"place":{"u":80,"v":60},"radius":40,"window":"M-5 -28 H5 V-12 H-5 Z"}`)), DefaultOptions())
	if len(p.Problems) != 1 || p.Problems[0].Code != CodeCutInGlue || p.Problems[0].Pointer != "/mechanisms/1/window" {
		t.Errorf("a window in the glue of a tab: %+v", p.Problems)
	}
}

// Two figures cross over a ridge of 80 mm, each through a slit.
func ridgeDesign(u float64) string {
	return one(fmt.Sprintf(`{"id":"roof","kind":"parallel_fold","on":{"fold":"gutter"},"from":100,"to":180,"left":{"base_offset":30,"panel_width":55}},
		{"id":"gull","kind":"figure","on":{"panel":"roof.left"},"place":{"u":10,"v":40},"outline":"M0 0 H12 V20 H20 V36 H-6 V20 H0 Z","fix":"tab_in_slot","tab":{"at":6,"width":8}},
		{"id":"kite","kind":"figure","on":{"panel":"roof.right"},"place":{"u":%.17g,"v":36},"outline":"M0 0 H14 V34 H0 Z"}`, u))
}

func TestNecksSlitTheRidge(t *testing.T) {
	_, p := cleanPattern(t, ridgeDesign(40))
	roof := p.Part("roof")
	// Source: necks of 12 and 14 mm, each with the 0.7 of a slot.
	approx(t, "slits", roof.Cuts.Length(), 12.7+14.7, 1e-6)
	scored := 0.0
	for _, c := range roof.Creases {
		if c.ID == "roof.ridge" {
			scored += c.Length()
		}
	}
	approx(t, "ridge left", scored, 80-12.7-14.7, 1e-6)
	for _, cut := range roof.Cuts {
		if cut.Start.X != 0 || cut.End().X != 0 {
			t.Errorf("a slit from %v to %v, want it on the ridge", cut.Start, cut.End())
		}
	}
	// A figure that ends on the ridge does not pass it.
	_, p = cleanPattern(t, strings.Replace(ridgeDesign(40), "V34 H0 Z", "V19 H0 Z", 1))
	approx(t, "slit of the gull alone", p.Part("roof").Cuts.Length(), 12.7, 1e-6)
}

// Necks that overlap are reported with how far to move one; moved as far, they
// pass.
func TestNecksThatMeet(t *testing.T) {
	for _, row := range []struct {
		u      float64
		number string
		moved  float64
	}{
		{20, "2.70 mm", 22.7},   // the gull's neck ends at 22
		{22.5, "0.20 mm", 22.7}, // no overlap, but of their slits
		{10, "12.70 mm", 22.7},
	} {
		p := mustMake(t, assembly(t, ridgeDesign(row.u)), DefaultOptions())
		if len(p.Problems) != 1 || p.Problems[0].Code != CodeNecksMeet || p.Problems[0].Pointer != "/mechanisms/2/place" || !strings.Contains(p.Problems[0].Detail, row.number) {
			t.Errorf("kite at %g: %+v, want %s", row.u, p.Problems, row.number)
		}
		cleanPattern(t, ridgeDesign(row.moved))
	}
	// On one panel they do not cross.
	p := mustMake(t, assembly(t, strings.Replace(ridgeDesign(20), "roof.right", "roof.left", 1)), DefaultOptions())
	for _, problem := range p.Problems {
		if problem.Code == CodeNecksMeet {
			t.Errorf("two figures of one panel: %+v", problem)
		}
	}
}

func randomHand(t *rapid.T) string {
	number := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	var list []string
	for i := range rapid.IntRange(1, 4).Draw(t, "mechanisms") {
		var fields string
		switch rapid.IntRange(0, 4).Draw(t, "kind") {
		case 0:
			fields = fmt.Sprintf(`"kind":"flap","hinge_length":%g,"depth":%g`, number("hinge", 5, 60), number("depth", 3, 40))
		case 1:
			r := number("radius", 6, 60)
			fields = fmt.Sprintf(`"kind":"wheel","radius":%g,"detents":%d,"pivot_hole":%g,"window":"M%g -5 H%g V5 H%g Z"`,
				r, rapid.IntRange(0, 24).Draw(t, "detents"), number("hole", 1, 5), r*0.3, r*0.8, r*0.3)
		case 2:
			crank := number("crank", 0.5, 30)
			fields = fmt.Sprintf(`"kind":"pivot_arm","outline":"M-4 -4 H%g V4 H-4 Z","crank":%g,"link_length":%g,"crank_angle":%g,"stroke":%g,"strip":{"width":%g,"length":%g},"pivot_hole":%g`,
				number("arm", 1, 60), crank, crank+number("longer", 1, 50), number("angle", 10, 170), number("stroke", 2, 60), number("width", 3, 30), number("length", 0.5, 120), number("hole", 1, 8))
		case 3:
			fields = fmt.Sprintf(`"kind":"pull_tab","outline":"M0 0 H%g V%g H0 Z","stroke":%g,"strip":{"width":%g,"length":%g}`,
				number("wide", 3, 40), number("high", 3, 30)*float64(rapid.SampledFrom([]int{1, -1}).Draw(t, "side")), number("stroke", 2, 60), number("width", 3, 30), number("length", 5, 120))
		default:
			near, far := number("near", 5, 50), number("far", 5, 50)
			fields = fmt.Sprintf(`"kind":"pull_tab","moves":"tent","tent":{"near_width":%g,"far_width":%g,"along":%g},"stroke":%g,"strip":{"width":%g,"length":%g}`,
				near, far, number("along", 5, 60), (near+far)*number("share", 0.05, 0.9), number("width", 3, 30), number("length", 5, 200))
		}
		list = append(list, fmt.Sprintf(`{"id":"tug%d","on":{"panel":%q},"place":{"u":%g,"v":%g,"rotate":%g},%s}`,
			i, rapid.SampledFrom([]string{"page.left", "page.right"}).Draw(t, "page"), number("u", -20, 220), number("v", -20, 150), number("rotate", -180, 180), fields))
	}
	return fmt.Sprintf(`{"spread":{"page_width":130,"page_height":200,"corner_radius":%g},"mechanisms":[%s]}`,
		rapid.SampledFrom([]float64{0, 5}).Draw(t, "corner"), strings.Join(list, ","))
}

// Wherever it is put, what is worked by hand gives a pattern that can be drawn:
// parts of one ring each, openings within them, joints marked on both sides, the
// same twice.
func TestHandDrivenAnywhere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		document := randomHand(t)
		a := assembly(t, document)
		p := mustMake(t, a, DefaultOptions())
		var files [2]bytes.Buffer
		if err := draw.WriteSVG(&files[0], p.Drawing("Quay"), draw.SVGOptions{}); err != nil {
			t.Fatal(err)
		}
		if err := draw.WriteSVG(&files[1], mustMake(t, a, DefaultOptions()).Drawing("Quay"), draw.SVGOptions{}); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(files[0].Bytes(), files[1].Bytes()) {
			t.Error("the same design gave two files")
		}
		for i := range p.Parts {
			part := &p.Parts[i]
			if len(part.Outline) != 1 || part.Outline.Area() <= 0 {
				t.Errorf("%s: outline of %d rings, area %g", part.ID, len(part.Outline), part.Outline.Area())
			}
			ring := part.Outline.Flatten(flatTolerance)[0]
			if i, j, ok := crossing(ring); ok {
				t.Errorf("%s: edges %d and %d of the outline cross", part.ID, i, j)
			}
			openings := part.Holes.Flatten(flatTolerance)
			for k := range part.Slots {
				openings = append(openings, part.Slots[k].Path.Flatten(flatTolerance)...)
			}
			for _, opening := range openings {
				for _, q := range opening {
					if !geom.PolygonContains(ring, q) && geom.PolygonDistance(ring, q) > 2*flatTolerance {
						t.Errorf("%s: an opening reaches %v, outside the paper", part.ID, q)
					}
				}
			}
			if part.Holes.Area() > 0 {
				t.Errorf("%s: holes run anticlockwise", part.ID)
			}
		}
		for _, j := range p.Joints {
			mine, its := p.Part(j.Part).tab(j.Label), p.Part(j.Host).mark(j.Label)
			if mine == nil || its == nil {
				t.Errorf("joint %s, %s, is not marked on both %s and %s", j.Label, j.ID, j.Part, j.Host)
				continue
			}
			approx(t, "area of mark "+j.ID, its.Path.Area(), mine.Path.Area(), 1e-3)
		}
		for _, problem := range p.Problems {
			if !slices.Contains(Codes(), problem.Code) || problem.Detail == "" {
				t.Errorf("problem %+v", problem)
			}
		}
	})
}

// A design in inches is told of its problems in inches. A hole of 4 mm whose
// middle is 3 mm from the edge leaves 1 mm of the 2 mm that hold.
func TestProblemsAreInTheUnitsOfTheDesign(t *testing.T) {
	for _, row := range []struct {
		units, at, radius, hole string
		unit                    float64
	}{
		{"mm", `"u":127,"v":3`, "25.4", "4", 1},
		{"in", `"u":5,"v":0.11811023622047244`, "1", "0.15748031496062992", 25.4},
	} {
		a := assembly(t, fmt.Sprintf(`{"units":%q,"spread":{"page_width":%g,"page_height":%g},"mechanisms":[
			{"id":"vane","kind":"wheel","on":{"panel":"page.left"},"place":{%s},"radius":%s,"pivot_hole":%s}]}`,
			row.units, 254/row.unit, 254/row.unit, row.at, row.radius, row.hole))
		p := mustMake(t, a, DefaultOptions())
		found := false
		for _, q := range p.Problems {
			if row.units == "in" && strings.Contains(q.Detail, "mm") {
				t.Errorf("in inches: %s", q.Detail)
			}
			if q.Code != CodeNarrowWeb {
				continue
			}
			found = true
			approx(t, "amount", q.Amount.Value*row.unit, 1, 1e-9) // 3 mm less half of 4 leaves 1 of 2
			if q.Amount.Unit != row.units || !strings.Contains(q.Detail, " "+row.units+" ") {
				t.Errorf("amount in %q of: %s", q.Amount.Unit, q.Detail)
			}
		}
		if !found {
			t.Errorf("%s: nothing is said of the narrow web: %+v", row.units, p.Problems)
		}
	}
}
