package kinematics

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// rateAt is the pose of an assembly and its rate by a seed.
func rateAt(a *Assembly, drive Drive, w Seed) (*Pose, *Rate) {
	p, r := a.NewPose(), a.NewRate()
	a.PoseInto(p, drive)
	a.RateInto(r, p, w)
	return p, r
}

// The in-line slider-crank at θ = 45 with ω2 = 1. Source: a published course
// worksheet, read, which prints ω3 = 0.378 and v = 9.744 in/s; its lengths a =
// 10, b = 20 are inferred, and give 0.37796 and 9.7437. The sliding tent is the
// crank turned by the book, the pivot arm the crank turned by its slider.
func TestPublishedSliderCrankSpeeds(t *testing.T) {
	const omega3, v = 0.37796, 9.7437
	tent := assemble(t, `{"id":"sail","kind":"slide_tent","on":{"panel":"page.right"},"from":10,"to":40,"guided":false,
		"fixed_offset":5,"near_width":13,"far_width":12,"travel":20}`)
	_, r := rateAt(tent, Drive{Opening: geom.Degrees(45)}, tent.SeedOpening())
	approx(t, "v", r.Travel(0), v, 5e-5)

	arm := handDriven(t, "page.right", `"kind":"pivot_arm","place":{"u":50,"v":40},"outline":"M0 0 H30 V1 H0 Z",
		"crank":10,"link_length":20,"crank_angle":90,"stroke":12`)
	x := 10*math.Sqrt(0.5) + math.Sqrt(400-50)
	p, r := rateAt(arm, Drive{Opening: math.Pi, Hand: []float64{x - math.Sqrt(300)}}, arm.SeedDriver(0))
	panel := arm.PanelIndex("tug.arm")
	page := &p.Panels[pageRight]
	// At rest the crank is along the arm's own v.
	joint := r.Panels[panel].At(geom.Vec2{Y: 10})
	omega2 := r.Panels[panel].X.Norm()
	approx(t, "v per ω2", 1/omega2, v, 5e-5)
	approx(t, "ω3 per ω2", math.Abs(joint.Dot(page.Y))/(math.Sqrt(350)*omega2), omega3, 5e-6)
}

// Universal joint, δ the angle between the shafts. Source: the speed ratio
// cos δ/(1 - sin²δ·cos²θ), 1/cos δ at its greatest, at 0 and 180, and cos δ at
// its least, at 90: Mechanical Engineer's Data Handbook, section 2.4.3, read.
func TestUniversalJointSpeed(t *testing.T) {
	for _, delta := range []float64{5, 18, 40} {
		a := sphericalLinks{alpha: 90, eta: 90, beta: 90, gamma: delta}.fold(t, "away")
		fold := a.FoldIndex("sail.left_base")
		sin, cos := geom.Degrees(delta).Sincos()
		speed := func(theta float64) float64 {
			_, r := rateAt(a, Drive{Opening: geom.Degrees(theta)}, a.SeedOpening())
			return r.FoldAngle(fold)
		}
		approx(t, "greatest, at 0", speed(0.001), 1/cos, 1e-9)
		approx(t, "greatest, at 180", speed(179.999), 1/cos, 1e-9)
		approx(t, "least, at 90", speed(90), cos, 1e-13)
		for theta := 3.0; theta < 180; theta += 7 {
			c := math.Cos(float64(geom.Degrees(theta)))
			approx(t, fmt.Sprintf("speed at %g", theta), speed(theta), cos/(1-sin*sin*c*c), 1e-12)
		}
	}
}

// Next to shut, and shut, no digit is lost. Source: sin κ/2 = sin a·sin φ/2 /
// sin p for the dihedral κ of the ridge of a symmetric V (a right spherical
// triangle), so κ' = sin a·cos φ/2 / (sin p·cos κ/2), which is sin a/sin p when
// shut.
func TestRatesNextToShut(t *testing.T) {
	a := assemble(t, `{"id":"sail","kind":"v_fold","on":{"fold":"gutter"},"at":100,"left":{"base_angle":45,"panel_angle":60,"base_length":40},"ridge_length":50},
		{"id":"gull","kind":"v_fold","on":{"fold":"sail.ridge"},"at":20,"left":{"base_angle":50,"panel_angle":75,"base_length":10},"ridge_length":12}`)
	sinA, sinB := math.Sin(float64(geom.Degrees(45))), math.Sin(float64(geom.Degrees(60)))
	gullA, gullB := math.Sin(float64(geom.Degrees(50))), math.Sin(float64(geom.Degrees(75)))
	for _, opening := range []float64{0, 1e-12, 1e-9, 1e-6, 1e-3} {
		p, r := rateAt(a, Drive{Opening: geom.Angle(opening)}, a.SeedOpening())
		if !r.AllExist {
			t.Fatalf("no rates at %g", opening)
		}
		ridge := func(id string, input, sinA, sinB float64) float64 {
			kappa := float64(p.FoldAngle(a.FoldIndex(id + ".ridge")))
			return sinA * math.Cos(input/2) / (sinB * math.Cos(kappa/2))
		}
		first := ridge("sail", opening, sinA, sinB)
		approx(t, fmt.Sprintf("κ' at %g", opening), r.FoldAngle(a.FoldIndex("sail.ridge")), first, 1e-14)
		second := first * ridge("gull", float64(p.FoldAngle(a.FoldIndex("sail.ridge"))), gullA, gullB)
		approx(t, fmt.Sprintf("κ' of the second generation at %g", opening), r.FoldAngle(a.FoldIndex("gull.ridge")), second, 1e-14)
	}
}

// At either end of the motion a rate is what the rates before it lead to, or it
// is said not to exist, and then those before it grow without bound.
func TestRatesAtTheEndsOfTheMotion(t *testing.T) {
	const near = 1e-4 // rad
	absent := map[string][]string{}
	forEveryKind(t, func(t *testing.T, a *Assembly, info *design.KindInfo) {
		for _, end := range []float64{0, math.Pi} {
			if end == 0 && info.Panels == nil {
				continue // the equations of a linkage are singular when shut
			}
			into := near
			if end > 0 {
				into = -near
			}
			at := func(steps float64) Drive {
				return Drive{Opening: geom.Angle(end + steps*into), Hand: midway(a)}
			}
			for _, v := range variations(t, a, at(0)) {
				_, here := rateAt(a, at(0), v.seed)
				_, one := rateAt(a, at(1), v.seed)
				_, two := rateAt(a, at(2), v.seed)
				if !one.AllExist || !two.AllExist {
					t.Errorf("%s: no rate next to %g", v.name, end)
					continue
				}
				for i := range a.Panels {
					for j := range a.Panels[i].Outline {
						first, second := one.VertexRate(i, j), two.VertexRate(i, j)
						if !here.AllExist {
							continue
						}
						want := first.Mul(2).Sub(second)
						if off := here.VertexRate(i, j).Sub(want).Norm(); !(off <= 1e-4*(1+want.Norm())) {
							t.Errorf("%s vertex %d by %s at %g: %v, led to %v", a.Panels[i].ID, j, v.name, end, here.VertexRate(i, j), want)
						}
					}
				}
				if !here.AllExist {
					what := fmt.Sprintf("%s %g", v.name[strings.LastIndex(v.name, "/")+1:], geom.Angle(end).Degrees())
					absent[string(info.Kind)] = append(absent[string(info.Kind)], what)
					if !growsTowards(a, at, v.seed) {
						t.Errorf("%s %s: said to have no rate, yet it is bounded", info.Kind, what)
					}
				}
			}
		}
	})
	// Only measurements that set the two sides at odds, and a flush mechanism
	// that would no longer be, have none.
	t.Logf("%v", absent)
}

func growsTowards(a *Assembly, at func(float64) Drive, w Seed) bool {
	most := func(steps float64) float64 {
		_, r := rateAt(a, at(steps), w)
		worst := 0.0
		for i := range a.Panels {
			worst = max(worst, r.Panels[i].X.Norm(), r.Panels[i].Y.Norm())
		}
		return worst
	}
	return most(1) > 3*most(4)
}

// A rate is refused where there is none.
func TestRatesThatDoNotExist(t *testing.T) {
	tight := math.Asin(0.75) * 2 // stretched when 2·40·sin φ/2 = 2·30
	for _, row := range []struct {
		name, mechanism string
		drive           Drive
		seed            string
	}{
		{"a tent at its lock", `{"id":"tug","kind":"parallel_fold","on":{"fold":"gutter"},"from":10,"to":40,"left":{"base_offset":40,"panel_width":30}}`,
			Drive{Opening: geom.Angle(tight)}, "opening"},
		{"a shut V whose sides come to differ", `{"id":"tug","kind":"v_fold","on":{"fold":"gutter"},"at":100,"left":{"base_angle":50,"panel_angle":60,"base_length":40},
			"right":{"base_angle":55,"panel_angle":55,"base_length":40},"ridge_length":50}`, Drive{}, "/mechanisms/0/left/base_angle"},
		{"a flush V whose panel widens", `{"id":"tug","kind":"v_fold","on":{"fold":"gutter"},"at":100,"left":{"base_angle":50,"panel_angle":50,"base_length":40},"ridge_length":50}`,
			Drive{Opening: math.Pi}, "/mechanisms/0/left/panel_angle"},
		{"a tent before the pull that raises it", `{"id":"tug","kind":"pull_tab","on":{"panel":"page.left"},"moves":"tent","tent":{"near_width":20,"far_width":25,"along":30},"stroke":15}`,
			Drive{Opening: 2}, "tug.pull"},
		{"an arm in line with its link", `{"id":"tug","kind":"pivot_arm","on":{"panel":"page.left"},"outline":"M0 0 H9 V2 Z","crank":10,"link_length":26,"stroke":12}`,
			Drive{Opening: 2, Hand: []float64{12}}, "tug.pull"},
		{"a strip that binds", `{"id":"tug","kind":"slide_tent","on":{"panel":"page.left"},"from":10,"to":40,"guided":false,"fixed_offset":1,"near_width":15.5,"far_width":15.5,"travel":40}`,
			Drive{Opening: geom.Angle(math.Asin(0.6))}, "opening"},
		{"a shut linkage", fmt.Sprintf(samples["linkage"], `"id":"tug","on":{"fold":"gutter"}`), Drive{}, "opening"},
	} {
		a := assemble(t, row.mechanism)
		for _, v := range variations(t, a, row.drive) {
			if v.name != row.seed {
				continue
			}
			p, r := rateAt(a, row.drive, v.seed)
			if !p.AllReached || r.Exists[0] || r.AllExist {
				t.Errorf("%s: reach %v, rate exists: %v", row.name, p.Reach, r.Exists)
			}
		}
	}
}

// What stands on a mechanism that has no rate has none, and what does not
// still has.
func TestMissingRatesAreInherited(t *testing.T) {
	a := assemble(t, `{"id":"tug","kind":"v_fold","on":{"fold":"gutter"},"at":100,"left":{"base_angle":50,"panel_angle":60,"base_length":40},
			"right":{"base_angle":55,"panel_angle":55,"base_length":40},"ridge_length":50},
		{"id":"gull","kind":"figure","on":{"panel":"tug.left"},"outline":"M0 0 H9 V2 Z"},
		{"id":"quay","kind":"strap","on":{"fold":"gutter"},"from":10,"to":40,"left_offset":20,"right_offset":30}`)
	w, _ := a.SeedNumber("/mechanisms/0/left/panel_angle")
	_, r := rateAt(a, Drive{}, w)
	if r.Exists[0] || r.Exists[1] || !r.Exists[2] || r.AllExist || r.Has(a.PanelIndex("gull.figure")) {
		t.Errorf("exist: %v", r.Exists)
	}
}

func TestSeedsOfUnknownNumbers(t *testing.T) {
	a := assemble(t, fleet)
	for _, pointer := range []string{"", "/title", "/mechanisms/0/kind", "/mechanisms/9/at", "/mechanisms/0/left", "/spread/nothing"} {
		if _, ok := a.SeedNumber(pointer); ok {
			t.Errorf("a seed of %q", pointer)
		}
	}
}

// A linkage follows what it hangs on when a measurement of that changes, on a
// face of the fold stood on, on a panel by name, and by a point.
func TestRatesOfLinkagesOnOthers(t *testing.T) {
	const tent = `"panels":[{"id":"left","outline":[[0,0],[12,0],[12,20],[0,20]]},{"id":"right","outline":[[0,0],[12,0],[12,-20],[0,-20]]}],
		"hinges":[{"id":"ridge","between":[{"panel":"left","edge":2},{"panel":"right","edge":2}]}],`
	a := assemble(t, `
		{"id":"hull","kind":"v_fold","on":{"fold":"gutter"},"at":100,"left":{"base_angle":50,"panel_angle":75,"base_length":60},
			"right":{"base_angle":55,"panel_angle":70,"base_length":60},"ridge_length":80},
		{"id":"shed","kind":"parallel_fold","on":{"fold":"gutter"},"from":10,"to":60,"left":{"base_offset":30,"panel_width":50}},
		{"id":"crane","kind":"linkage","on":{"fold":"hull.left_base"},`+tent+`
			"glue":[{"panel":"left","edge":0,"to":"left","at":[[10,9],[22,9]]},{"panel":"right","edge":0,"to":"right","at":[[10,9],[22,9]]}]},
		{"id":"gull","kind":"linkage","on":{"fold":"shed.ridge"},`+tent+`
			"glue":[{"panel":"left","edge":0,"to":"left","at":[[10,9],[22,9]]},{"panel":"right","point":[[0,0]],"to":"right","at":[[10,9]]}]},
		{"id":"buoy","kind":"figure","on":{"panel":"gull.right"},"outline":"M0 0 H9 V4 Z"}`)
	c := comparisons{}
	for _, degrees := range []float64{50, 110} {
		c.compare(t, a, Drive{Opening: geom.Degrees(degrees), Hand: midway(a)})
	}
	if len(c.missing) > 0 || c.made < 10000 || c.left*20 > c.made {
		t.Errorf("%d rates compared, %d left out; no derivative of %v", c.made, c.left, c.missing)
	}
	t.Logf("%d rates, worst %.1e off", c.made, c.worst)
}
