package kinematics

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/geom"
)

func panelAt(a *Assembly, p *Pose, id string, u, v float64) geom.Vec3 {
	return p.Panels[a.PanelIndex(id)].At(geom.Vec2{X: u, Y: v})
}

func checkAt(t *testing.T, what string, got, want geom.Vec3) {
	t.Helper()
	if off := got.Sub(want).Norm(); !(off <= 1e-11) {
		t.Errorf("%s at %v, want %v", what, got, want)
	}
}

// A box of equal offsets. Source: closed form. The walls stand at ±a·sin ψ/2
// along the bisector, the creases are a·cos ψ/2 off the ends along the fold, that
// of the lid as much above the heads of the walls, or below for one that folds in.
func TestSquareBox(t *testing.T) {
	const a, tall, from, to = 30.0, 25.0, 10.0, 90.0
	for _, row := range []struct {
		ends, lid  string
		inward, up float64
	}{
		{"in", "out", 1, 1}, {"out", "out", -1, 1}, {"out", "in", -1, -1},
	} {
		assembly := assemble(t, fmt.Sprintf(`{"id":"crate","kind":"box","on":{"fold":"gutter"},"from":%g,"to":%g,
			"left_offset":%g,"height":%g,"ends":%q,"lid":true,"lid_fold":%q}`, from, to, a, tall, row.ends, row.lid))
		for _, degrees := range []float64{0, 1e-9, 30, 90, 150, 180} {
			p := pose(t, assembly, degrees)
			S, C := geom.Degrees(degrees / 2).Sincos()
			head := geom.Vec3{Y: from, Z: a*C + tall}
			checkAt(t, "left wall", panelAt(assembly, p, "crate.wall_left", 0, tall), head.Add(geom.Vec3{X: -a * S}))
			checkAt(t, "right wall", panelAt(assembly, p, "crate.wall_right", 0, tall), head.Add(geom.Vec3{X: a * S}))
			checkAt(t, "front crease", panelAt(assembly, p, "crate.front_left", tall, a), head.Add(geom.Vec3{Y: row.inward * a * C}))
			checkAt(t, "back crease", panelAt(assembly, p, "crate.back_right", tall, a), head.Add(geom.Vec3{Y: to - from - row.inward*a*C}))
			checkAt(t, "lid crease", panelAt(assembly, p, "crate.lid_left", 0, a), head.Add(geom.Vec3{Z: row.up * a * C}))
			for _, fold := range []string{"crate.front_crease", "crate.back_crease", "crate.lid_crease"} {
				approx(t, fold, foldAngle(t, assembly, p, fold), degrees, 1e-5)
			}
			approx(t, "left base", foldAngle(t, assembly, p, "crate.left_base"), degrees/2, 1e-5)
		}
	}
}

// A box of unequal offsets. Source: derived. B2-B1 keeps its part κ = a2-a1
// along the walls; open flat it lies on the page, so the walls lean by asin(κ/(a1+a2))
// and every base line of the end walls is flush with it.
func TestUnevenBox(t *testing.T) {
	a := assemble(t, `{"id":"crate","kind":"box","on":{"fold":"gutter"},"from":10,"to":90,"left_offset":18,"right_offset":32,"height":25,"lid":true}`)
	p := pose(t, a, 180)
	approx(t, "lean", foldAngle(t, a, p, "crate.right_base"), 90-math.Asin(14.0/50)*180/math.Pi, 1e-9)
	approx(t, "lean", foldAngle(t, a, p, "crate.left_base"), 90+math.Asin(14.0/50)*180/math.Pi, 1e-9)
	checkAt(t, "foot of the crease", panelAt(a, p, "crate.front_left", 7, 24), geom.Vec3{X: 7, Y: 10})
	rapid.Check(t, func(t *rapid.T) {
		p := poseAt(a, drawOpening(t))
		left, right := &p.Panels[a.PanelIndex("crate.wall_left")], &p.Panels[a.PanelIndex("crate.wall_right")]
		if off := math.Abs(right.Origin.Sub(left.Origin).Dot(left.Y) - 14); !(off < 1e-12) {
			t.Fatalf("base lines are off by %g along the walls", off)
		}
	})
}

// Without a lid its panels and folds are not made.
func TestOpenBox(t *testing.T) {
	a := assemble(t, `{"id":"crate","kind":"box","on":{"fold":"gutter"},"from":10,"to":90,"left_offset":18,"height":25}`)
	panels, folds := a.Design.Mechanisms[0].Makes()
	if len(a.Panels) != 2+len(panels) || len(a.Folds) != 1+len(folds) || a.PanelIndex("crate.lid_left") >= 0 {
		t.Errorf("%d panels and %d folds, want %v and %v", len(a.Panels), len(a.Folds), panels, folds)
	}
}

// The printed face of every panel is the one seen from outside: away from the
// middle of the box.
func TestBoxIsPrintedOutside(t *testing.T) {
	for _, ends := range []string{"in", "out"} {
		a := assemble(t, fmt.Sprintf(`{"id":"crate","kind":"box","on":{"fold":"gutter"},"from":10,"to":90,"left_offset":30,"right_offset":25,
			"height":40,"lid":true,"ends":%q}`, ends))
		p := pose(t, a, 170)
		middle := geom.Vec3{Y: 50, Z: 20}
		for i := 2; i < len(a.Panels); i++ {
			f := &p.Panels[i]
			out := f.Normal().Mul(a.Panels[i].Printed)
			if !(out.Dot(f.Origin.Sub(middle)) > 0) {
				t.Errorf("%s is printed inside", a.Panels[i].ID)
			}
		}
	}
}
