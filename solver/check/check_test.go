package check

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/testdata/designs"
)

func decode(t testing.TB, spread, mechanisms string) *design.Design {
	t.Helper()
	return decodeDocument(t, []byte(`{"spread":{`+spread+`},"mechanisms":[`+mechanisms+`]}`))
}

func decodeDocument(t testing.TB, document []byte) *design.Design {
	t.Helper()
	d, err := design.Decode(document)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func check(d *design.Design) []finding.Finding { return Design(kinematics.Compile(d)) }

// ofMotion leaves out what is found in the parts and in the layers of the shut
// page, which have tests of their own: a tent that rises too steeply meets the other page there,
// whatever else is wrong with it.
func ofMotion(found []finding.Finding) []finding.Finding {
	return slices.DeleteFunc(found, func(f finding.Finding) bool {
		return ofLayers(f.Code) || ofSweep(f.Code) || f.Code.OfParts()
	})
}

// applied is the design with the remedy's changes made.
func applied(t testing.TB, d *design.Design, r *finding.Remedy) *design.Design {
	t.Helper()
	c := d.Clone()
	for _, change := range r.Changes {
		if !makeChange(c, change) {
			t.Fatalf("remedy changes %s, which cannot be changed", change.Pointer)
		}
	}
	return c
}

const (
	pageOf130 = `"page_width":130,"page_height":180,"margin":5`
	quay      = `{"id":"quay","kind":"parallel_fold","on":{"fold":"gutter"},"from":20,"to":60,`
	sail      = `{"id":"sail","kind":"slide_tent","page":"right","from":40,"to":100,`
	mast      = `{"id":"mast","kind":"v_fold","on":{"fold":"gutter"},"at":90,`
)

// Each row breaks one rule by a known amount.
func TestFindings(t *testing.T) {
	for _, row := range []struct {
		name, mechanism string
		code            finding.Code
		amount          float64
		unit            string
		from, to        float64 // degrees; to < 0 where it is not asked
		source          string
	}{
		{
			"panels differ by more than the offsets", quay + `"left":{"base_offset":30,"panel_width":50},"right":{"base_offset":35,"panel_width":30}}`,
			finding.CannotShut, 15, "mm", 0, -1,
			"|30+50-35-30| = 15; pages cannot shut when the panels differ by more than the offsets (planar triangle inequality)",
		},
		{
			"panels differ by less than the offsets", quay + `"left":{"base_offset":30,"panel_width":50},"right":{"base_offset":45,"panel_width":45}}`,
			finding.NotFlatWhenShut, 10, "mm", 0, 0,
			"|30+50-45-45| = 10; paper is trapped when the panels differ by less than the offsets",
		},
		{
			"V sides differ", mast + `"left":{"base_angle":50,"panel_angle":70,"base_length":40},"right":{"base_angle":70,"panel_angle":65,"base_length":40},"ridge_length":40}`,
			finding.NotFlatWhenShut, 15, "deg", 0, 0,
			"|50+70-70-65| = 15, the conical alternating sum (Kawasaki–Justin for a cone)",
		},
		{
			"tent too tight", quay + `"left":{"base_offset":40,"panel_width":30}}`,
			finding.CannotOpenFully, 180 - 2*math.Asin(0.75)*180/math.Pi, "deg", 2 * math.Asin(0.75) * 180 / math.Pi, 180,
			"stretched when 2·40·sin(φ/2) = 2·30",
		},
		{
			"V too tight", mast + `"left":{"base_angle":60,"panel_angle":45,"base_length":40},"ridge_length":40}`,
			finding.CannotOpenFully, 180 - 2*math.Asin(math.Sin(math.Pi/4)/math.Sin(math.Pi/3))*180/math.Pi, "deg",
			2 * math.Asin(math.Sin(math.Pi/4)/math.Sin(math.Pi/3)) * 180 / math.Pi, 180,
			"stretched when sin γ/2 = sin a·sin φ/2 reaches sin b (right spherical triangle)",
		},
		{
			"tent taller than the page", quay + `"left":{"base_offset":60,"panel_width":80}}`,
			finding.OutsidePageWhenShut, 10, "mm", 0, 0,
			"the ridge of a shut tent is at a+p = 140 from the gutter",
		},
		{
			"tent in the margin", quay + `"left":{"base_offset":58,"panel_width":70}}`,
			finding.InsideMargin, 3, "mm", 0, 0, "a+p = 128, margin from 125",
		},
		{
			"V past the foot", mast + `"left":{"base_angle":60,"panel_angle":80,"base_length":40},"ridge_length":120}`,
			finding.OutsidePageWhenShut, -(90 + 120*math.Cos(140*math.Pi/180)), "mm", 0, 0,
			"the shut ridge is at a+b = 140 degrees from the fold: y = 90+120·cos 140",
		},
		{
			"strip anchored farther out than the gap", sail + `"fixed_offset":15,"near_width":40,"far_width":40,"travel":40}`,
			finding.TravelNotReached, 10, "mm", 180, 180, "a pull strip across a fold draws 2·min(u, v) = 2·15",
		},
		{
			"tent too narrow for the travel", sail + `"fixed_offset":25,"near_width":15,"far_width":40,"travel":40}`,
			finding.CannotOpenFully, 180 - 2*math.Asin(math.Sqrt((30*30+2*5*30)/(4*25.0*20)))*180/math.Pi, "deg",
			2 * math.Asin(math.Sqrt((30*30+2*5*30)/(4*25.0*20))) * 180 / math.Pi, 180,
			"locked when √(25²+20²-2·25·20·cos φ) - 5 = 2·15, the triangle inequality of the tent; 4·25·20·sin²(φ/2) = 30²+2·5·30",
		},
		{
			"anchor in the fore edge", sail + `"joint":{"tab_depth":100},"fixed_offset":32,"near_width":46,"far_width":47,"travel":64}`,
			finding.AnchorOffPage, 2, "mm", 0, -1, "anchored at 32 with a tab of 100 on a page of 130",
		},
		{
			"short box", `{"id":"crate","kind":"box","on":{"fold":"gutter"},"from":20,"to":60,"left_offset":25,"height":30}`,
			finding.EndsMeet, 10, "mm", 0, 0, "two half end walls of 25 in a box of 40",
		},
		{
			"layer past the fore edge", `{"id":"deck","kind":"floating_layer","on":{"fold":"gutter"},"from":20,"to":60,"left_extent":100,"height":35}`,
			finding.OutsidePageWhenShut, 5, "mm", 0, 0, "a shut layer reaches extent + height = 135",
		},
		{
			"lid past the fore edge", `{"id":"crate","kind":"box","on":{"fold":"gutter"},"from":20,"to":150,"left_offset":50,"height":40,"lid":true}`,
			finding.OutsidePageWhenShut, 10, "mm", 0, 0, "a shut lid that folds out reaches offset + height + offset = 140",
		},
	} {
		t.Run(row.name, func(t *testing.T) {
			d := decode(t, pageOf130, row.mechanism)
			found := ofMotion(check(d))
			if len(found) != 1 {
				t.Fatalf("%d findings, want one: %+v", len(found), found)
			}
			f := found[0]
			if f.Code != row.code || f.Amount.Unit != row.unit || math.Abs(f.Amount.Value-row.amount) > 2e-3 {
				t.Errorf("got %s by %v, want %s by %g %s (%s)", f.Code, f.Amount, row.code, row.amount, row.unit, row.source)
			}
			if got := f.At.From.Degrees(); math.Abs(got-row.from) > 2e-3 {
				t.Errorf("holds from %g, want %g", got, row.from)
			}
			if got := f.At.To.Degrees(); row.to >= 0 && math.Abs(got-row.to) > 2e-3 {
				t.Errorf("holds to %g, want %g", got, row.to)
			}
			requireCure(t, d, f)
		})
	}
}

// A steep strip is drawn only where the pages stop short of flat; else the tent
// would have to be shorter than its panels allow.
func TestSteepStrip(t *testing.T) {
	d := decode(t, pageOf130+`,"opens_to":60`, sail+`"fixed_offset":2,"near_width":20,"far_width":60,"travel":60,"guided":false}`)
	found := ofMotion(check(d))
	if len(found) != 1 || found[0].Code != finding.StripCollides {
		t.Fatalf("got %+v, want one %s", found, finding.StripCollides)
	}
	if want := steepRise(2, 20, 60, 30, math.Pi/3) - 20; math.Abs(found[0].Amount.Value-want) > 2e-3 {
		t.Errorf("passes over the ridge by %v, want %g", found[0].Amount, want)
	}
	requireCure(t, d, found[0])
}

// steepRise is how far up the near panel an unguided strip crosses it at most,
// by intersecting the two lines in the plane at many openings. The panel is
// placed by the law of cosines and the strip by the crank.
func steepRise(x0, n, f, d, opensTo float64) float64 {
	most := 0.0
	rod := x0 + n + f - d
	for k := 1; k <= 6000; k++ {
		t := float64(k) * opensTo / 6000
		x := d*math.Cos(t) + math.Sqrt(rod*rod-d*d*math.Sin(t)*math.Sin(t))
		base := x - x0
		alpha := math.Acos(math.Min(1, (base*base+n*n-f*f)/(2*base*n)))
		// (x0 + w·cos α, w·sin α) on the line from (x, 0) to (d·cos t, d·sin t).
		dx, dz := d*math.Cos(t)-x, d*math.Sin(t)
		most = math.Max(most, dz*base/(math.Cos(alpha)*dz-math.Sin(alpha)*dx))
	}
	return most
}

// requireCure makes the change a remedy asks for and checks again.
func requireCure(t *testing.T, d *design.Design, f finding.Finding) {
	t.Helper()
	if f.Remedy == nil {
		t.Fatalf("no remedy for: %s", f.Message)
	}
	before := examine(kinematics.Compile(d), nil, everything)
	for _, g := range examine(kinematics.Compile(applied(t, d, f.Remedy)), nil, everything).findings {
		if g.Code == f.Code && g.Mechanism == f.Mechanism {
			t.Errorf("%q leaves %q (was %q)", f.Remedy.Text, g.Message, f.Message)
		}
		if g.Severity == finding.Error && !before.has(&g) && !before.couldHide(&g) {
			t.Errorf("%q brings %q", f.Remedy.Text, g.Message)
		}
	}
	if f.Mechanism >= 0 && !strings.HasPrefix(f.Pointer, "/mechanisms/") {
		t.Errorf("pointer %q is not into a mechanism", f.Pointer)
	}
}

// Cuts that run off what they are cut from, or into one another. Source: the
// distances along the edges crossed.
func TestCutsOffTheirHost(t *testing.T) {
	step := func(id string, from, to int, fold string) string {
		return fmt.Sprintf(`{"id":%q,"kind":"cut_step","on":{"fold":%q},"from":%d,"to":%d,"left_offset":30,"right_offset":25}`, id, fold, from, to)
	}
	for _, row := range []struct {
		name, mechanisms string
		mechanism        int
		amount           float64
	}{
		{"past the foot", step("pier", -8, 40, "gutter"), 0, 8},
		{"into another", step("pier", 20, 70, "gutter") + "," + step("mole", 60, 95, "gutter"), 0, 10},
		{"past its fold", step("pier", 20, 70, "gutter") + `,{"id":"mole","kind":"cut_step","on":{"fold":"pier.left_base"},"from":30,"to":62,"left_offset":8,"right_offset":6}`, 1, 12},
	} {
		d := decode(t, pageOf130, row.mechanisms)
		var found *finding.Finding
		for _, f := range check(d) {
			if f.Code == finding.CutOffHost && f.Mechanism == row.mechanism {
				found = &f
			}
		}
		if found == nil {
			t.Errorf("%s: not found in %+v", row.name, check(d))
			continue
		}
		approxAmount(t, found.Amount, finding.Amount{Value: row.amount, Unit: "mm"})
		requireCure(t, d, *found)
	}
}

// Panels whose base lines slant so far that they turn through their host.
func TestPanelThroughItsHost(t *testing.T) {
	for _, mechanisms := range []string{
		`{"id":"gull","kind":"cut_v","on":{"fold":"gutter"},"at":120,"left":{"base_angle":130,"base_length":40},"ridge_length":40}`,
		mast + `"left":{"base_angle":55,"panel_angle":70,"base_length":60},"ridge_length":60},
		{"id":"gull","kind":"v_fold","on":{"fold":"mast.left_base"},"at":30,"ridge_length":15,
		 "left":{"base_angle":112,"panel_angle":116,"base_length":15},"right":{"base_angle":132,"panel_angle":96,"base_length":15}}`,
	} {
		d, seen := decode(t, pageOf130, mechanisms), false
		for _, f := range check(d) {
			if f.Code == finding.ThroughHost {
				seen = true
				requireCure(t, d, f)
			}
		}
		if !seen {
			t.Errorf("not found in %+v", check(d))
		}
	}
}

// What a hand cannot measure is a note, not an error.
func TestImmeasurableMismatchIsANote(t *testing.T) {
	for _, width := range []string{"49.999", "50.001"} {
		d := decode(t, pageOf130, quay+`"left":{"base_offset":30,"panel_width":50},"right":{"base_offset":30,"panel_width":`+width+`}}`)
		for _, f := range check(d) {
			if f.Severity != finding.Note {
				t.Errorf("%s: %s is of severity %s", width, f.Message, f.Severity)
			}
			requireCure(t, d, f)
		}
	}
}

// Over a ridge the faces are folded right round when shut, so there the sides
// match when base less panel is the same.
func TestMatchingOverARidge(t *testing.T) {
	d := decode(t, pageOf130, quay+`"left":{"base_offset":22,"panel_width":34}},
		{"id":"hat","kind":"parallel_fold","on":{"fold":"quay.ridge","side":"outer"},"from":5,"to":20,
		 "left":{"base_offset":8,"panel_width":20},"right":{"base_offset":10,"panel_width":26}}`)
	found := ofMotion(check(d))
	if len(found) != 1 || found[0].Code != finding.NotFlatWhenShut && found[0].Code != finding.CannotShut {
		t.Fatalf("%+v", found)
	}
	approxAmount(t, found[0].Amount, finding.Amount{Value: 4, Unit: "mm"})
	requireCure(t, d, found[0])
	if c := found[0].Remedy.Changes; len(c) != 1 || c[0].Value != 22 {
		t.Errorf("remedy %+v, want a right panel 22 wide: 8-20 = 10-22", c)
	}
}

// A fold that closes on the way, as those of a V whose sides differ do, is kept
// from closing by what stands on it with sides that differ: by 0.05 degrees over
// 10 mm, which paper gives to, and nothing is pulled tight.
func TestSidesDifferOnAFoldThatClosesOnTheWay(t *testing.T) {
	document, _ := designs.Read("harbour")
	d, err := design.Decode(document)
	if err != nil {
		t.Fatal(err)
	}
	d = d.WrittenOut()
	for i := range d.Mechanisms {
		by := map[string]float64{"gull_left": 0.3, "fledgling": 0.05}[d.Mechanisms[i].ID]
		if n, ok := d.Number(design.Point(i, "right/panel_angle")); ok {
			n.Set(n.Get() + by)
		}
	}
	held := 0
	for _, f := range check(d) {
		switch {
		case f.Code == finding.CannotOpenFully:
			t.Error(f.Message)
		case f.Code == finding.CannotShut && d.Mechanisms[f.Mechanism].ID == "fledgling":
			held++
			if f.Severity != finding.Note || f.At.From <= 0 || f.At.To >= geom.Degrees(90) {
				t.Errorf("%s %s", f.Severity, f.Message)
			}
			approxAmount(t, f.Amount, finding.Amount{Value: 0.05, Unit: "deg"})
		}
	}
	if held != 1 {
		t.Errorf("%d findings of the fledgling's sides", held)
	}
}

func approxAmount(t *testing.T, got, want finding.Amount) {
	t.Helper()
	if got.Unit != want.Unit || math.Abs(got.Value-want.Value) > 1e-9 {
		t.Errorf("amount %v, want %v", got, want)
	}
}

// Mirror-image sides, a strap and a V that leans toward, all well inside the
// page, have nothing wrong with them.
func TestSoundDesignHasNoFindings(t *testing.T) {
	for _, mechanism := range []string{
		quay + `"left":{"base_offset":22,"panel_width":34}}`,
		mast + `"left":{"base_angle":55,"panel_angle":90,"base_length":70},"ridge_length":85}`,
		`{"id":"mast","kind":"v_fold","on":{"fold":"gutter"},"at":60,"lean":"toward","left":{"base_angle":120,"panel_angle":80,"base_length":50},"ridge_length":70}`,
		sail + `"fixed_offset":20,"near_width":40,"far_width":35,"travel":20}`,
		sail + `"fixed_offset":10,"near_width":45,"far_width":35,"travel":40,"guided":false}`,
		`{"id":"deck","kind":"floating_layer","on":{"fold":"gutter"},"from":10,"to":60,"height":20,"left_extent":70,"right_extent":60}`,
		`{"id":"crate","kind":"box","on":{"fold":"gutter"},"from":20,"to":90,"left_offset":30,"right_offset":25,"height":30,"lid":true}`,
		`{"id":"deck","kind":"strap","on":{"fold":"gutter"},"from":10,"to":40,"left_offset":30,"right_offset":50}`,
	} {
		if found := check(decode(t, pageOf130, mechanism)); len(found) > 0 {
			t.Errorf("%s: %s", mechanism, found[0].Message)
		}
	}
}

// Only the mechanism at fault is named, not what stands on it.
func TestConsequencesAreNotReported(t *testing.T) {
	d := decode(t, pageOf130, quay+`"left":{"base_offset":30,"panel_width":50},"right":{"base_offset":45,"panel_width":45}},
		{"id":"gull","kind":"v_fold","on":{"fold":"quay.ridge"},"at":20,"left":{"base_angle":50,"panel_angle":60,"base_length":15},"ridge_length":12}`)
	for _, f := range ofMotion(check(d)) {
		if f.Mechanism != 0 {
			t.Errorf("reported %q", f.Message)
		}
	}
}

func BenchmarkCheck(b *testing.B) {
	d := decode(b, pageOf130, quay+`"left":{"base_offset":22,"panel_width":34}}`)
	a := kinematics.Compile(d)
	for b.Loop() {
		Design(a)
	}
}
