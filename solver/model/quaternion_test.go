package model

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/geom"
)

func drawTurn(t *rapid.T, label string) quaternion {
	part := rapid.Float64Range(-1, 1)
	q := quaternion{part.Draw(t, label+".x"), part.Draw(t, label+".y"), part.Draw(t, label+".z"), part.Draw(t, label+".w")}
	n := math.Sqrt(q.dot(q))
	if n < 0.1 {
		return quaternion{w: 1}
	}
	return q.scaled(1 / n)
}

// The frame a rotation makes gives the rotation back, up to its sign.
func TestTurnOfFrames(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := drawTurn(t, "q")
		f := geom.Frame{X: q.rotate(geom.Vec3{X: 1}), Y: q.rotate(geom.Vec3{Y: 1})}
		if got := turnOf(&f); math.Abs(math.Abs(got.dot(q))-1) > 1e-12 {
			t.Fatalf("%v, want %v", got, q)
		}
	})
}

// Raising the rotation raises what it rotates.
func TestRaised(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := drawTurn(t, "q")
		v := geom.Vec3{X: 0.3, Y: -0.5, Z: 0.8}
		got, w := q.raised().rotate(v), q.rotate(v)
		if want := (geom.Vec3{X: w.X, Y: w.Z, Z: -w.Y}); got.Sub(want).Norm() > 1e-12 {
			t.Fatalf("%v, want %v", got, want)
		}
	})
}

// Halfway is halfway: equal angles to both ends, their sum the angle between.
func TestToward(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawTurn(t, "a"), drawTurn(t, "b")
		f := rapid.Float64Range(0, 1).Draw(t, "f")
		m := a.toward(b, f)
		angle := func(p, q quaternion) float64 { return math.Acos(min(math.Abs(p.dot(q)), 1)) }
		if whole := angle(a, b); math.Abs(angle(a, m)-f*whole) > 1e-6 || math.Abs(angle(m, b)-(1-f)*whole) > 1e-6 {
			t.Fatalf("%g of %g: %g and %g", f, whole, angle(a, m), angle(m, b))
		}
	})
}
