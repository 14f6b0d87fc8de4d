package kinematics

import (
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// checkJoints lays every joint's second panel on its first and compares with the
// pose.
func checkJoints(t rapid.TB, a *Assembly, p *Pose, tolerance float64) {
	t.Helper()
	for i := range a.Joints() {
		j := &a.Joints()[i]
		first, second := j.Faces[0].Panel, j.Faces[1].Panel
		if !p.Has(first) || !p.Has(second) {
			continue
		}
		laid, want := j.Lay(&p.Panels[first], j.Coordinate(p)), p.Panels[second]
		off := laid.At(j.Faces[1].Origin).Sub(want.At(j.Faces[1].Origin)).Norm() / a.Design.Size()
		if j.Kind != Balled {
			off = max(off, laid.Origin.Sub(want.Origin).Norm()/a.Design.Size(), laid.X.Sub(want.X).Norm(), laid.Y.Sub(want.Y).Norm())
		}
		if !(off <= tolerance) {
			t.Fatalf("joint %d, %s on %s, is laid %g off", i, a.Panels[second].ID, a.Panels[first].ID, off)
		}
	}
}

func TestJointsLayTheirPanels(t *testing.T) {
	forEveryKind(t, func(t *testing.T, a *Assembly, _ *design.KindInfo) {
		p := a.NewPose()
		for _, degrees := range []float64{0, 0.01, 20, 90, 150, 179.99, 180} {
			a.PoseInto(p, Drive{Opening: geom.Degrees(degrees), Hand: midway(a)})
			checkJoints(t, a, p, openTolerance)
		}
	})
	rapid.Check(t, func(t *rapid.T) {
		a := drawDesign(t).compile(t)
		checkJoints(t, a, poseAt(a, drawOpening(t)), openTolerance)
	})
}

// Every panel hangs on the pages, whichever joints are taken first.
func TestEveryPanelIsJoined(t *testing.T) {
	joined := func(t rapid.TB, a *Assembly) {
		group := make([]int, len(a.Panels))
		for i := range group {
			group[i] = i
		}
		for i := range a.Joints() {
			from, to := group[a.Joints()[i].Faces[0].Panel], group[a.Joints()[i].Faces[1].Panel]
			for k := range group {
				if group[k] == from {
					group[k] = to
				}
			}
		}
		for i := range group {
			if group[i] != group[pageLeft] {
				t.Fatalf("%s hangs on nothing", a.Panels[i].ID)
			}
		}
	}
	forEveryKind(t, func(t *testing.T, a *Assembly, _ *design.KindInfo) { joined(t, a) })
	rapid.Check(t, func(t *rapid.T) { joined(t, drawDesign(t).compile(t)) })
}
