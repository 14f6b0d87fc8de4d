package kinematics

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// at poses one mechanism on the open spread with its only driver at a value in
// mm or degrees.
func at(t testing.TB, a *Assembly, value float64) *Pose {
	t.Helper()
	if a.Drivers[0].Quantity == design.Degrees {
		value = float64(geom.Degrees(value))
	}
	p := a.NewPose()
	a.PoseInto(p, Drive{Opening: math.Pi, Hand: []float64{value}})
	return p
}

func handDriven(t testing.TB, page, rest string) *Assembly {
	t.Helper()
	return assemble(t, fmt.Sprintf(`{"id":"tug","on":{"panel":%q},%s}`, page, rest))
}

// A flap turns up towards the reader, whichever page it is on, and comes down
// on the other side of its hinge.
func TestFlapTurnsUp(t *testing.T) {
	for _, page := range []string{"page.left", "page.right"} {
		a := handDriven(t, page, `"kind":"flap","place":{"u":30,"v":40},"hinge_length":20,"depth":10`)
		far := geom.Vec2{X: 20, Y: 10}
		panel, hinge := a.PanelIndex("tug.flap"), a.FoldIndex("tug.hinge")
		for _, row := range []struct{ angle, height, out float64 }{
			// Source: the far edge goes round a circle of radius 10 about the hinge.
			{0, 0, 50}, {90, 10, 40}, {150, 5, 40 - 5*math.Sqrt(3)}, {180, 0, 30},
		} {
			p := at(t, a, row.angle)
			q := p.Panels[panel].At(far)
			approx(t, fmt.Sprintf("height at %g", row.angle), q.Z, row.height, 1e-12)
			approx(t, fmt.Sprintf("distance from the gutter at %g", row.angle), math.Abs(q.X), row.out, 1e-12)
			approx(t, fmt.Sprintf("hinge at %g", row.angle), p.FoldAngle(hinge).Degrees(), 180-row.angle, 1e-6)
		}
	}
}

func TestWheelTurns(t *testing.T) {
	a := handDriven(t, "page.right", `"kind":"wheel","place":{"u":30,"v":40},"radius":15`)
	p := at(t, a, 90) // from u, up the page, towards v, away from the gutter
	q := p.Panels[a.PanelIndex("tug.disc")].At(geom.Vec2{X: 15})
	approx(t, "x", q.X, 55, 1e-12)
	approx(t, "y", q.Y, 30, 1e-12)
}

// The in-line slider-crank. Source: x = a·cos θ + √(b² - a²·sin² θ), with a=10,
// b=20 at θ = 45 giving x = 25.7794; the lengths inferred from a published
// course worksheet, x computed from the formula.
func TestPivotArmIsASliderCrank(t *testing.T) {
	a := handDriven(t, "page.right", `"kind":"pivot_arm","place":{"u":50,"v":40},"outline":"M0 -1 H30 V1 H0 Z",
		"crank":10,"link_length":20,"crank_angle":90,"stroke":12`)
	rest := math.Sqrt(20*20 - 10*10)
	p := at(t, a, 25.7794-rest)
	arm := &p.Panels[a.PanelIndex("tug.arm")]
	// The arm has turned from 90 to 45 degrees, towards the pull: its own u,
	// along the page's u at rest, now points 45 degrees from it.
	approx(t, "turn", geom.Angle(math.Acos(arm.X.Y)).Degrees(), 45, 1e-3)
	if p.Strips[0].Travel != 25.7794-rest {
		t.Errorf("travel %g", p.Strips[0].Travel)
	}
}

// The strip and the link keep their lengths, and crank and link lie in one line
// where the arm locks.
func TestPivotArmKeepsLengths(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		crank := decimal(t, "crank", 3, 20)
		link := crank + decimal(t, "longer", 0.5, 40)
		stroke := crank + link
		a := assemble(t, fmt.Sprintf(`{"id":"tug","kind":"pivot_arm","on":{"panel":"page.left"},"outline":"M0 -1 H30 V1 H0 Z",
			"place":{"u":%g,"v":40,"rotate":%g},"crank":%g,"link_length":%g,"crank_angle":%g,"stroke":%g}`,
			decimal(t, "u", 0, 50), decimal(t, "rotate", -90, 90), crank, link, decimal(t, "angle", 10, 170), stroke))
		p := a.NewPose()
		most := crank + link - a.Design.Mechanisms[0].Spec.(*design.PivotArm).Slider()
		pull := decimal(t, "pull", 0, stroke)
		a.PoseInto(p, Drive{Opening: 2, Hand: []float64{pull}})
		if reached := p.Reach[0] == Reached; reached != (pull <= most) {
			t.Fatalf("reached %v at a pull of %g, with %g to the lock", reached, pull, most)
		}
		if p.Reach[0] != Reached {
			return
		}
		path := p.Strips[0].Path()
		if got := path[1].Sub(path[0]).Norm(); math.Abs(got-link) > 1e-9*link {
			t.Fatalf("link is %g long, want %g", got, link)
		}
	})
}

// A tent raised by a pull. Source: the right triangle 3-4-5, twice.
func TestPullTabRaisesATent(t *testing.T) {
	for _, page := range []string{"page.left", "page.right"} {
		checkPulledTent(t, handDriven(t, page, `"kind":"pull_tab","place":{"u":100,"v":30},"moves":"tent",
			"tent":{"near_width":50,"far_width":50,"along":20},"stroke":60`))
	}
}

func checkPulledTent(t *testing.T, a *Assembly) {
	t.Helper()
	for _, row := range []struct{ pull, height, ridge float64 }{
		{0, 0, 180}, {20, 30, 2 * 53.13010235}, {40, 40, 2 * 36.86989765},
	} {
		p := at(t, a, row.pull)
		approx(t, fmt.Sprintf("ridge angle at %g", row.pull), foldAngle(t, a, p, "tug.ridge"), row.ridge, 1e-6)
		ends := p.FoldEnds(a.FoldIndex("tug.ridge"))
		approx(t, fmt.Sprintf("height at %g", row.pull), ends[0].Z, row.height, 1e-9)
		approx(t, fmt.Sprintf("ridge at %g", row.pull), ends[0].Y, 100-(100-row.pull)/2, 1e-9)
		for i := range a.Panels {
			f := &p.Panels[i]
			approx(t, "length of v", f.Y.Norm(), 1, 1e-12)
		}
	}
}

func TestPullTabMovesASlide(t *testing.T) {
	a := handDriven(t, "page.right", `"kind":"pull_tab","place":{"u":10,"v":30,"rotate":90},"outline":"M0 0 H5 V5 H0 Z","stroke":20`)
	p := at(t, a, 7)
	approx(t, "x", p.Panels[a.PanelIndex("tug.slide")].Origin.X, 37, 1e-12)
}

// Whatever the drivers do, hinged panels go on sharing their fold.
func TestHandDrivenFoldsAreShared(t *testing.T) {
	a := assemble(t, `{"id":"tug","kind":"pull_tab","on":{"panel":"page.left"},"place":{"u":100,"v":30,"rotate":20},"moves":"tent",
		"tent":{"near_width":30,"far_width":40,"along":20},"stroke":50},
		{"id":"hatch","kind":"flap","on":{"panel":"tug.far"},"place":{"u":3,"v":4},"hinge_length":10,"depth":8},
		{"id":"gull","kind":"v_fold","on":{"fold":"hatch.hinge"},"at":1,"left":{"base_angle":45,"panel_angle":70,"base_length":4},"ridge_length":5}`)
	p := a.NewPose()
	rapid.Check(t, func(t *rapid.T) {
		a.PoseInto(p, Drive{
			Opening: geom.Degrees(decimal(t, "opening", 0, 180)),
			Hand:    []float64{decimal(t, "pull", 0, 50), float64(geom.Degrees(decimal(t, "angle", 0, 180)))},
		})
		if !p.AllReached {
			t.Fatalf("not reached: %v", p.Reach)
		}
		checkRigid(t, a, p, openTolerance)
	})
}
