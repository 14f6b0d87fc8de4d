package check

import (
	"math"
	"testing"

	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/kinematics"
	"foldwright/testdata/designs"
)

// Each row comes closer to a lock than it should, by an angle in closed form.
func TestNearSingular(t *testing.T) {
	deg := func(rad float64) float64 { return rad * 180 / math.Pi }
	for _, row := range []struct {
		name, mechanism string
		amount, from    float64
		source          string
	}{
		{
			"tent nearly tight", quay + `"left":{"base_offset":40,"panel_width":41}}`,
			180 - 2*deg(math.Asin(40.0/41)), 2 * deg(math.Asin(41.0/40*math.Sin(75*math.Pi/180))),
			"sin μ/2 = a·sin(φ/2)/p, half the triangle of panels and base lines; reported from μ = 150",
		},
		{
			"V nearly tight", mast + `"left":{"base_angle":60,"panel_angle":62,"base_length":40},"ridge_length":40}`,
			180 - 2*deg(math.Asin(math.Sin(math.Pi/3)/math.Sin(62*math.Pi/180))),
			2 * deg(math.Asin(math.Sin(62*math.Pi/180)/math.Sin(math.Pi/3)*math.Sin(75*math.Pi/180))),
			"sin ζ/2 = sin a·sin(φ/2)/sin b, right spherical triangle",
		},
		{
			"sliding tent nearly folded", sail + `"fixed_offset":35,"near_width":40,"far_width":40,"travel":70}`,
			2 * deg(math.Asin(5.0/40)), 2 * deg(math.Asin((80-80*math.Sin(15*math.Pi/180))/70)),
			"half the base left is (80-70)/2 of 40; strip and edge as far from the gutter draw 70·sin φ/2",
		},
		{
			"arm nearly stretched", `{"id":"jib","kind":"pivot_arm","on":{"panel":"page.right"},"place":{"u":90,"v":60},"outline":"M-2 -2 H20 V2 H-2 Z",
				"crank":10,"link_length":24,"stroke":11.6}`,
			180 - deg(math.Acos((100+576-math.Pow(math.Sqrt(476)+11.6, 2))/480)), 0,
			"law of cosines in crank, link and slider, pulled 11.6 from √(24²-10²)",
		},
	} {
		t.Run(row.name, func(t *testing.T) {
			d := decode(t, pageOf130, row.mechanism)
			found := ofMotion(check(d))
			if len(found) != 1 {
				t.Fatalf("%d findings, want one: %+v", len(found), found)
			}
			f := found[0]
			if f.Code != finding.NearSingular || f.Severity != finding.Warning || f.Amount.Unit != "deg" || math.Abs(f.Amount.Value-row.amount) > 2e-3 {
				t.Errorf("got %s %q by %v, want %g degrees (%s)", f.Code, f.Message, f.Amount, row.amount, row.source)
			}
			if got := f.At.From.Degrees(); math.Abs(got-row.from) > 2e-3 || f.At.To.Degrees() != 180 {
				t.Errorf("holds from %g to %g, want from %g (%s)", got, f.At.To.Degrees(), row.from, row.source)
			}
			requireCure(t, d, f)
		})
	}
}

// A remedy leaves the mechanism as far from its lock as is asked, and little
// further.
func TestNearSingularRemedyIsTheLeast(t *testing.T) {
	d := decode(t, pageOf130, quay+`"left":{"base_offset":40,"panel_width":41}}`)
	changed := applied(t, d, check(d)[0].Remedy)
	width := changed.Mechanisms[0].Spec.(*design.ParallelFold).Left.PanelWidth
	least := 40 / math.Sin(75*math.Pi/180) // sin μ/2 = a/p when open flat, μ = 150
	if width < least || width > least+0.1 {
		t.Errorf("panels widened to %g, want %g to the next tenth", width, least)
	}
}

// Shut and flush are meant: none of these comes near a lock.
func TestFlushIsNoLock(t *testing.T) {
	for _, mechanism := range []string{
		quay + `"left":{"base_offset":40,"panel_width":40}}`,
		quay + `"left":{"base_offset":30,"panel_width":45},"right":{"base_offset":45,"panel_width":30}}`,
		mast + `"left":{"base_angle":60,"panel_angle":60,"base_length":40},"ridge_length":40}`,
		`{"id":"deck","kind":"strap","on":{"fold":"gutter"},"from":10,"to":40,"left_offset":30,"right_offset":50}`,
		`{"id":"step","kind":"cut_step","on":{"fold":"gutter"},"from":10,"to":40,"left_offset":30,"right_offset":50}`,
		`{"id":"beak","kind":"cut_v","on":{"fold":"gutter"},"at":90,"left":{"base_angle":50,"base_length":40},"ridge_length":40}`,
		`{"id":"crate","kind":"box","on":{"fold":"gutter"},"from":20,"to":90,"left_offset":20,"right_offset":30,"height":25,"ends":"out","lid":true}`,
	} {
		for _, f := range check(decode(t, pageOf130, mechanism)) {
			if f.Code == finding.NearSingular {
				t.Errorf("%s: %s", mechanism, f.Message)
			}
		}
	}
}

func TestExamplesAreFarFromLocks(t *testing.T) {
	for _, name := range designs.Names() {
		document, _ := designs.Read(name)
		d, err := design.Decode(document)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range check(d) {
			if f.Code == finding.NearSingular {
				t.Errorf("%s: %s", name, f.Message)
			}
		}
	}
}

// What stands on a mechanism near its lock is not reported again, nor is one
// that reaches its lock.
func TestNearSingularIsReportedOnce(t *testing.T) {
	d := decode(t, pageOf130, quay+`"left":{"base_offset":40,"panel_width":41}},
		{"id":"gull","kind":"v_fold","on":{"fold":"quay.ridge"},"at":20,"left":{"base_angle":60,"panel_angle":60.5,"base_length":15},"ridge_length":12},
		{"id":"pier","kind":"parallel_fold","on":{"fold":"gutter"},"from":100,"to":120,"left":{"base_offset":40,"panel_width":39}}`)
	for _, f := range examine(kinematics.Compile(d), nil, everything).findings {
		if f.Code == finding.NearSingular && f.Mechanism != 0 {
			t.Errorf("reported %q", f.Message)
		}
	}
}

// What is cured of pulling tight is not left next to it, unless it lies flush.
func TestOpeningRemedyLeavesRoom(t *testing.T) {
	for _, mechanism := range []string{
		quay + `"left":{"base_offset":40,"panel_width":30}}`,
		quay + `"left":{"base_offset":40.37,"panel_width":30.21},"right":{"base_offset":38,"panel_width":32.58}}`,
		mast + `"left":{"base_angle":60.5,"panel_angle":45.25,"base_length":40},"ridge_length":40}`,
	} {
		d := decode(t, pageOf130, mechanism)
		f := check(d)[0]
		if f.Code != finding.CannotOpenFully || f.Remedy == nil {
			t.Fatalf("%s: %+v", mechanism, f)
		}
		for _, g := range check(applied(t, d, f.Remedy)) {
			t.Errorf("%q leaves %q", f.Remedy.Text, g.Message)
		}
	}
}
