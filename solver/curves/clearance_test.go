package curves

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/testdata/designs"
)

func tentAt(id string, from, to, offset, width float64) string {
	return fmt.Sprintf(`{"id":%q,"kind":"parallel_fold","on":{"fold":"gutter"},"from":%g,"to":%g,"left":{"base_offset":%g,"panel_width":%g}}`, id, from, to, offset, width)
}

// clearanceAt is the clearance of a document at an opening in degrees.
func clearanceAt(t testing.TB, document string, opening float64) float64 {
	t.Helper()
	return take(t, compile(t, document), []geom.Angle{geom.Degrees(opening)}, "clearance").Series[0].Values[0]
}

// Tents of one section side by side keep the gap they have along the gutter,
// flat ones too.
func TestClearanceOfTentsSideBySide(t *testing.T) {
	document := spread(tentAt("quay", 20, 40, 30, 50) + "," + tentAt("shed", 52, 80, 30, 50))
	for opening := 0.0; opening <= 180; opening += 7.5 {
		if got := clearanceAt(t, document, opening); math.Abs(got-12) > 1e-9 {
			t.Errorf("at %g: %.12g, want 12", opening, got)
		}
	}
}

// Source: with the book flat, the panel of the outer tent is the line from
// (-30, 0) to (0, 40), 40x - 30z + 1200 = 0 over 50, and the ridge of the inner
// one is √(20² - 10²) up. Its ridge is nearer than its base lines.
func TestClearanceOfNestedTents(t *testing.T) {
	inner := tentAt("shed", 30, 40, 10, 20)
	want := (1200 - 30*math.Sqrt(300)) / 50
	if got := clearanceAt(t, spread(tentAt("quay", 20, 60, 30, 50)+","+inner), 180); math.Abs(got-want) > 1e-9 {
		t.Errorf("%.12g, want %.12g", got, want)
	}
	inches := fmt.Sprintf(`{"units":"in","spread":{"page_width":130,"page_height":180},"mechanisms":[%s,%s]}`, tentAt("quay", 2, 6, 3, 5), tentAt("shed", 3, 4, 1, 2))
	inches = strings.NewReplacer("130", "8", "180", "9").Replace(inches)
	table := take(t, compile(t, inches), []geom.Angle{math.Pi}, "clearance")
	if got := table.Series[0].Values[0]; math.Abs(got-want/10) > 1e-9 || table.Series[0].Unit != "in" {
		t.Errorf("%.12g %s, want %.12g in", got, table.Series[0].Unit, want/10)
	}
}

// A narrow tall tent goes through the panels of a wide low one.
func TestClearanceOfCrossingTents(t *testing.T) {
	document := spread(tentAt("quay", 20, 60, 30, 50) + "," + tentAt("shed", 30, 40, 20, 60))
	for _, opening := range []float64{40, 113, 180} {
		if got := clearanceAt(t, document, opening); got != 0 {
			t.Errorf("at %g: %g, want 0", opening, got)
		}
	}
}

// Source: a panel of a tent on points 30 from the gutter goes in its section
// from 30·(-sin(t/2), cos(t/2)) towards the ridge, up at the angle σ of
// TestMeasuresOfATent. A figure on it covers it from 15 to 35; the nearer end is
// as far from a page, the ray (±sin(t/2), cos(t/2)), as the cross product says.
// The tent itself, on which the figure is, and the pages, on which the tent is,
// do not count.
func TestClearanceOfAFigureAboveThePages(t *testing.T) {
	document := spread(quay + `,{"id":"crane","kind":"figure","on":{"panel":"quay.left"},"outline":"M0 0 H10 V20 H0 Z","place":{"u":5,"v":15}}`)
	for _, opening := range []float64{90, 120, 150, 180} {
		sin, cos := math.Sincos(opening / 2 * math.Pi / 180)
		slope := math.Acos(30 * sin / 50)
		want := math.Inf(1)
		for _, v := range []float64{15, 35} {
			x, z := -30*sin+v*math.Cos(slope), 30*cos+v*math.Sin(slope)
			want = min(want, math.Abs(-sin*z-cos*x), math.Abs(sin*z-cos*x))
		}
		if got := clearanceAt(t, document, opening); math.Abs(got-want) > 1e-9 {
			t.Errorf("at %g: %.12g, want %.12g", opening, got, want)
		}
	}
}

// linkage is a panel under a ridge, tied by a corner to a panel.
const linkage = `{"id":"vane","kind":"linkage","on":{"fold":"quay.ridge","side":"inner"},
	"panels":[{"id":"vane","outline":[[0,0],[10,0],[10,20],[0,20]]}],
	"glue":[{"panel":"vane","edge":0,"to":"left","at":[[15,10],[5,10]]},{"panel":"vane","point":[[10,20]],"to":%q,"at":[[60,20]]}]}`

// Without a pair that is not joined there is no such measure.
func TestClearanceNeedsAPair(t *testing.T) {
	for _, c := range []struct {
		mechanisms string
		want       bool
	}{
		{"", false},
		{quay, false},
		{tent, false},
		{quay + `,{"id":"buoy","kind":"v_fold","on":{"fold":"quay.left_base"},"at":12,"left":{"base_angle":55,"panel_angle":70,"base_length":14},"ridge_length":20}`, false},
		{quay + `,{"id":"store","kind":"parallel_fold","on":{"fold":"quay.ridge","side":"inner"},"from":4,"to":14,"left":{"base_offset":10,"panel_width":14}}`, true},
		{quay + "," + tent, true},
		{quay + "," + fmt.Sprintf(linkage, "page.right"), false},
		{quay + "," + fmt.Sprintf(linkage, "quay.right"), true},
		{`{"id":"tide","kind":"wheel","on":{"panel":"page.left"},"place":{"u":90,"v":60},"radius":30,"window":"M8 -10 H20 V10 H8 Z"},` + quay, false},
	} {
		if _, got := Find(compile(t, spread(c.mechanisms)), "clearance"); got != c.want {
			t.Errorf("%s: listed: %t", c.mechanisms, got)
		}
	}
}

// Which mechanisms of a spread are measured against which. The gull stands on
// the page as much as on the lighthouse, whose base fold they share; the lamp is
// a layer on a layer of the lighthouse.
func TestWhatIsApart(t *testing.T) {
	a := compile(t, spread(`
	  {"id":"lighthouse","kind":"v_fold","on":{"fold":"gutter"},"at":100,"left":{"base_angle":55,"panel_angle":90,"base_length":70},"ridge_length":85},
	  {"id":"gull","kind":"v_fold","on":{"fold":"lighthouse.left_base","side":"outer"},"at":30,"left":{"base_angle":50,"panel_angle":75,"base_length":25},"ridge_length":30},
	  {"id":"tower","kind":"figure","on":{"panel":"lighthouse.right"},"outline":"M-9 0 H9 V60 H-9 Z","place":{"u":26,"v":4}},
	  {"id":"lamp","kind":"figure","on":{"panel":"tower.figure"},"outline":"M-3 0 H3 V7 H-3 Z","place":{"u":0,"v":50}},
	  {"id":"hatch","kind":"flap","on":{"panel":"lamp.figure"},"place":{"u":0,"v":2},"hinge_length":5,"depth":5},
	  {"id":"sign","kind":"figure","on":{"panel":"hatch.flap"},"outline":"M0 0 H3 V3 H0 Z","place":{"u":1,"v":1}}`))
	name := func(panel int) string {
		id, _, _ := strings.Cut(a.Panels[panel].ID, ".")
		return id
	}
	var got []string
	apart(a, func(p, q int) bool {
		names := []string{name(p), name(q)}
		slices.Sort(names)
		got = append(got, strings.Join(names, " "))
		return true
	})
	slices.Sort(got)
	got = slices.Compact(got)
	want := []string{
		"gull hatch", "gull lamp", "gull sign", "gull tower", "hatch page", "lamp page",
		"lamp sign", "lighthouse sign", "page sign", "page tower", "sign tower",
	}
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

func flat(rings ...[]geom.Vec2) *face {
	f := &face{rings: rings}
	f.moveTo(geom.Frame{X: geom.Vec3{X: 1}, Y: geom.Vec3{Y: 1}})
	return f
}

// upright turns the plane of a face up, its u along x and its v along z.
func upright(at geom.Vec3, rings ...[]geom.Vec2) *face {
	f := &face{rings: rings}
	f.moveTo(geom.Frame{Origin: at, X: geom.Vec3{X: 1}, Y: geom.Vec3{Z: 1}})
	return f
}

func rectangle(x, y, w, h float64) []geom.Vec2 {
	return []geom.Vec2{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + h}, {X: x, Y: y + h}}
}

func TestFaceGap(t *testing.T) {
	page := flat(rectangle(0, 0, 100, 100))
	window := flat(rectangle(0, 0, 100, 100), rectangle(40, 40, 20, 20))
	// A bay 20 wide and 60 deep between two arms.
	bay := flat([]geom.Vec2{{}, {X: 60}, {X: 60, Y: 100}, {X: 40, Y: 100}, {X: 40, Y: 40}, {X: 20, Y: 40}, {X: 20, Y: 100}, {Y: 100}})
	for _, c := range []struct {
		name string
		a, b *face
		want float64
	}{
		{"corner over the inside", page, upright(geom.Vec3{X: 50, Y: 50, Z: 7}, rectangle(0, 0, 10, 10)), 7},
		{"corner beside a side", page, upright(geom.Vec3{X: 103, Y: 50, Z: 4}, rectangle(0, 0, 10, 10)), 5},
		{"corner to corner", page, upright(geom.Vec3{X: 102, Y: 103, Z: 6}, rectangle(0, 0, 10, 10)), 7},
		{"side across a side", page, upright(geom.Vec3{X: 103, Y: 50, Z: -5}, rectangle(0, 0, 10, 10)), 3},
		{"side through the inside", page, upright(geom.Vec3{X: 50, Y: 50, Z: -5}, rectangle(0, 0, 10, 10)), 0},
		{"touching", page, upright(geom.Vec3{X: 100, Y: 50}, rectangle(0, 0, 10, 10)), 0},
		{"through a window", window, upright(geom.Vec3{X: 45, Y: 46, Z: -5}, rectangle(0, 0, 10, 10)), 5},
		{"over a window", window, upright(geom.Vec3{X: 44, Y: 50, Z: 3}, rectangle(0, 0, 12, 10)), 5},
		{"in a bay", bay, upright(geom.Vec3{X: 26, Y: 70, Z: -5}, rectangle(0, 0, 10, 10)), 4},
		{"over a bay", bay, upright(geom.Vec3{X: 23, Y: 70, Z: 4}, rectangle(0, 0, 10, 10)), 5},
		{"over an arm", bay, upright(geom.Vec3{X: 5, Y: 70, Z: 4}, rectangle(0, 0, 10, 10)), 4},
		{"in one plane, one in the other", page, flat(rectangle(40, 40, 5, 5)), 0},
		{"in one plane, in the window", window, flat(rectangle(48, 46, 5, 5)), 6},
		{"in one plane, beside", page, flat(rectangle(103, 104, 5, 5)), 5},
	} {
		for _, pair := range [][2]*face{{c.a, c.b}, {c.b, c.a}} {
			if got := math.Sqrt(faceGap2(pair[0], pair[1], math.Inf(1))); math.Abs(got-c.want) > 1e-12 {
				t.Errorf("%s: %.15g, want %g", c.name, got, c.want)
			}
			if got := faceGap2(pair[0], pair[1], 1); c.want >= 1 && got != 1 {
				t.Errorf("%s: %g below a best of 1", c.name, got)
			}
		}
	}
}

// The squared distance between points of two segments is convex in both, so
// that narrowing down one inside the other finds the least.
func TestSegmentGap(t *testing.T) {
	nearest := func(f func(float64) float64) float64 {
		lo, hi := 0.0, 1.0
		for range 60 {
			third := (hi - lo) / 3
			if f(lo+third) < f(hi-third) {
				hi -= third
			} else {
				lo += third
			}
		}
		return f((lo + hi) / 2)
	}
	rapid.Check(t, func(t *rapid.T) {
		var c [4]geom.Vec3
		for i := range c {
			at := func(label string) float64 { return float64(rapid.IntRange(-3, 3).Draw(t, label)) }
			c[i] = geom.Vec3{X: at("x"), Y: at("y"), Z: at("z")}
		}
		p, q, r, s := c[0], c[1], c[2], c[3]
		want := nearest(func(u float64) float64 {
			return nearest(func(v float64) float64 {
				d := p.Add(q.Sub(p).Mul(u)).Sub(r.Add(s.Sub(r).Mul(v)))
				return d.Dot(d)
			})
		})
		if got := segmentGap2(p, q, r, s); math.Abs(got-want) > 1e-6 {
			t.Fatalf("%.12g, want %.12g", got, want)
		}
	})
}

// dots covers a face with points: no point of it is farther from one than the
// spacing.
func dots(f *face, spacing float64) []geom.Vec3 {
	var out []geom.Vec3
	low, high := geom.Vec2{X: math.Inf(1), Y: math.Inf(1)}, geom.Vec2{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, ring := range f.rings {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			n := math.Ceil(b.Sub(a).Norm()/spacing) + 1
			for k := 0.0; k < n; k++ {
				out = append(out, f.frame.At(a.Lerp(b, k/n)))
			}
			low = geom.Vec2{X: min(low.X, a.X), Y: min(low.Y, a.Y)}
			high = geom.Vec2{X: max(high.X, a.X), Y: max(high.Y, a.Y)}
		}
	}
	// A grid point within spacing/√2 of an inner point may be outside, but
	// then the outline passes between them and has a dot as near.
	for x := low.X; x <= high.X; x += spacing {
		for y := low.Y; y <= high.Y; y += spacing {
			if p := (geom.Vec2{X: x, Y: y}); geom.RingsContain(f.rings, p) {
				out = append(out, f.frame.At(p))
			}
		}
	}
	return out
}

// checkAgainstDots holds the clearance of a pose to the distances between
// points of the panels: none is less, and one is hardly more.
func checkAgainstDots(t rapid.TB, a *kinematics.Assembly, p *kinematics.Pose, spacing float64) float64 {
	t.Helper()
	g := newGauge(a)
	got := g.of(p)
	covered := make([][]geom.Vec3, len(g.faces))
	for i := range g.faces {
		covered[i] = dots(&g.faces[i], spacing)
	}
	least := math.Inf(1)
	for _, pair := range g.pairs {
		for _, u := range covered[pair[0]] {
			for _, v := range covered[pair[1]] {
				d := u.Sub(v)
				least = min(least, d.Dot(d))
			}
		}
	}
	least = math.Sqrt(least)
	// Each of the two nearest points is within a spacing and a quarter of a
	// dot: half a diagonal of the grid and half a step of the outline.
	if got > least+1e-9 || got < least-2.5*spacing {
		t.Fatalf("clearance %.9g, points are %.9g apart", got, least)
	}
	return got
}

func TestClearanceOfExamplesAgainstDots(t *testing.T) {
	measured := 0
	for _, name := range designs.Names() {
		a := example(t, name)
		if !hasClearance(a) {
			continue
		}
		p := a.NewPose()
		for _, part := range []float64{0.3, 1} {
			a.PoseInto(p, kinematics.Drive{Opening: geom.Angle(part * float64(a.Design.Spread.OpensTo))})
			checkAgainstDots(t, a, p, 3)
			measured++
		}
	}
	if measured < 8 {
		t.Errorf("%d poses: the test shows little", measured)
	}
}

func TestClearanceAgainstDots(t *testing.T) {
	poses, open := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		a := drawDesign(t)
		p := a.NewPose()
		a.PoseInto(p, kinematics.Drive{Opening: geom.Degrees(rapid.Float64Range(5, 180).Draw(t, "opening"))})
		if !p.AllReached || !hasClearance(a) {
			return
		}
		poses++
		if checkAgainstDots(t, a, p, 3) > 0 {
			open++
		}
	})
	if poses < 20 || open < 5 || open == poses {
		t.Errorf("%d poses, %d of them without a touch: the test shows little", poses, open)
	}
}

// drawDesign draws tents, straps and figures with bays and windows, which may
// run into each other.
func drawDesign(t *rapid.T) *kinematics.Assembly {
	var mechanisms []map[string]any
	panels := []string{"page.left", "page.right"}
	number := func(label string, lo, hi float64) float64 {
		return math.Round(rapid.Float64Range(lo, hi).Draw(t, label)*100) / 100
	}
	for i := range rapid.IntRange(2, 4).Draw(t, "count") {
		id := fmt.Sprintf("part%d", i)
		m := map[string]any{"id": id, "on": map[string]any{"fold": "gutter"}}
		from, offset := number("from", 5, 120), number("offset", 8, 30)
		switch kind := rapid.SampledFrom([]string{"parallel_fold", "strap", "figure", "figure"}).Draw(t, "kind"); {
		case kind == "figure" && i > 0:
			m["kind"], m["on"] = "figure", map[string]any{"panel": rapid.SampledFrom(panels).Draw(t, "panel")}
			m["outline"] = rapid.SampledFrom([]string{
				"M0 0 H14 V20 H0 Z", "M0 0 H20 V30 L10 8 L0 30 Z", "M-15 -15 H15 V15 H-15 Z M-8 -8 V8 H8 V-8 Z", "M-30 0 H30 V8 H-30 Z",
			}).Draw(t, "outline")
			m["place"] = map[string]any{"u": number("u", -5, 40), "v": number("v", 5, 40), "rotate": number("rotate", -180, 180)}
			panels = append(panels, id+".figure")
		case kind == "strap":
			m["kind"], m["from"], m["to"], m["left_offset"], m["right_offset"] = kind, from, from+number("long", 5, 40), offset, number("right", 8, 30)
			panels = append(panels, id+".left", id+".right")
		default:
			m["kind"], m["from"], m["to"] = "parallel_fold", from, from+number("long", 5, 40)
			m["left"] = map[string]any{"base_offset": offset, "panel_width": offset + number("wider", 2, 30)}
			panels = append(panels, id+".left", id+".right")
		}
		mechanisms = append(mechanisms, m)
	}
	data, err := json.Marshal(mechanisms)
	if err != nil {
		t.Fatal(err)
	}
	return compile(t, spread(string(data[1:len(data)-1])))
}
