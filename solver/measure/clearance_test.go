package measure

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
	"foldwright/solver/paper"
	"foldwright/testdata/designs"
)

func tentAt(id string, from, to, offset, width float64) string {
	return fmt.Sprintf(`{"id":%q,"kind":"parallel_fold","on":{"fold":"gutter"},"from":%g,"to":%g,"left":{"base_offset":%g,"panel_width":%g}}`, id, from, to, offset, width)
}

// clearanceAt is the clearance of a document at an opening in degrees.
func clearanceAt(t testing.TB, document string, opening float64) float64 {
	t.Helper()
	return take(t, compile(t, document), "clearance", opening)
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
	a := compile(t, inches)
	if m, _ := Find(a, "clearance"); m.Unit != "in" {
		t.Errorf("unit %s", m.Unit)
	}
	if got := take(t, a, "clearance", 180); math.Abs(got-want/10) > 1e-9 {
		t.Errorf("%.12g, want %.12g in", got, want/10)
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

// dots covers a face with points: no point of it is farther from one than the
// spacing.
func dots(rings [][]geom.Vec2, frame geom.Frame, spacing float64) []geom.Vec3 {
	var out []geom.Vec3
	low, high := geom.Vec2{X: math.Inf(1), Y: math.Inf(1)}, geom.Vec2{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, ring := range rings {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			n := math.Ceil(b.Sub(a).Norm()/spacing) + 1
			for k := 0.0; k < n; k++ {
				out = append(out, frame.At(a.Lerp(b, k/n)))
			}
			low = geom.Vec2{X: min(low.X, a.X), Y: min(low.Y, a.Y)}
			high = geom.Vec2{X: max(high.X, a.X), Y: max(high.Y, a.Y)}
		}
	}
	// A grid point within spacing/√2 of an inner point may be outside, but
	// then the outline passes between them and has a dot as near.
	for x := low.X; x <= high.X; x += spacing {
		for y := low.Y; y <= high.Y; y += spacing {
			if p := (geom.Vec2{X: x, Y: y}); geom.RingsContain(rings, p) {
				out = append(out, frame.At(p))
			}
		}
	}
	return out
}

// checkAgainstDots holds the clearance of a pose to the distances between
// points of the panels: none is less, and one is hardly more.
func checkAgainstDots(t rapid.TB, a *kinematics.Assembly, p *kinematics.Pose, spacing float64) float64 {
	t.Helper()
	g, m := NewGauge(a), Measure{ID: "clearance", Kind: Clearance}
	taken := g.Take(&m, p)
	got, pairs := taken.Value, g.gapOf(&m).pairs
	covered := make([][]geom.Vec3, len(a.Panels))
	for i := range a.Panels {
		covered[i] = dots(paper.Shape(&a.Panels[i]).Flatten(kinematics.OutlineTolerance), p.Panels[i], spacing)
	}
	least := math.Inf(1)
	for _, pair := range pairs {
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
