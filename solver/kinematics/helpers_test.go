package kinematics

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// assemble compiles mechanisms, given as JSON, on a page large enough to hold
// them.
func assemble(t rapid.TB, mechanisms string) *Assembly {
	t.Helper()
	d, err := design.Decode([]byte(`{"spread":{"page_width":500,"page_height":500},"mechanisms":[` + mechanisms + `]}`))
	if err != nil {
		t.Fatal(err)
	}
	return Compile(d)
}

// pose is the pose at an opening that every mechanism reaches.
func pose(t testing.TB, a *Assembly, degrees float64) *Pose {
	t.Helper()
	p := a.NewPose()
	a.PoseInto(p, Drive{Opening: geom.Degrees(degrees)})
	if !p.AllReached {
		t.Fatalf("not reached at %g degrees: %v", degrees, p.Reach)
	}
	return p
}

func foldAngle(t testing.TB, a *Assembly, p *Pose, id string) float64 {
	t.Helper()
	return p.FoldAngle(a.FoldIndex(id)).Degrees()
}

func approx(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.9g, want %.9g within %g", what, got, want, tol)
	}
}

// approxTurn compares angles in degrees up to whole turns.
func approxTurn(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	approx(t, what, want+math.Remainder(got-want, 360), want, tol)
}

// ridgeDirection is the unit vector along a ridge.
func ridgeDirection(a *Assembly, p *Pose, id string) geom.Vec3 {
	ends := p.FoldEnds(a.FoldIndex(id))
	return ends[1].Sub(ends[0]).Unit()
}

// ridgeInSection is where a ridge crosses the plane across the gutter.
func ridgeInSection(a *Assembly, p *Pose, id string) (x, z float64) {
	ends := p.FoldEnds(a.FoldIndex(id))
	return ends[0].X, ends[0].Z
}
