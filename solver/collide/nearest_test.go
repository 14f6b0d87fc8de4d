package collide

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/geom"
)

// Between convex faces that are apart, the gap along the direction found is their
// distance, which Gap2 measures in another way.
func TestDirectionSpansTheDistance(t *testing.T) {
	tried := 0
	rapid.Check(t, func(t *rapid.T) {
		a, b := placed(drawFrame(t, 60), drawConvex(t)), placed(drawFrame(t, 60), drawConvex(t))
		want := math.Sqrt(Gap2(a, b, math.Inf(1)))
		s := search{a: a.corners, b: b.corners}
		d, ok := s.direction()
		if want < 1e-6 {
			return
		}
		tried++
		if !ok {
			t.Fatalf("%g apart, no direction", want)
		}
		_, high := reach(a.corners, d)
		low, _ := reach(b.corners, d)
		if got := low - high; got > want+1e-9 || got < want*(1-1e-3) {
			t.Fatalf("%.12g along the direction, %.12g apart", got, want)
		}
	})
	if tried < 20 {
		t.Errorf("%d pairs: the test shows little", tried)
	}
}

// Sectors with their tips in the origin, on either side of a plane through it: a
// direction is found that separates them. With their edges in the plane there is
// only one.
func TestConeDirection(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := drawVec3(t, "normal", 1).Add(geom.Vec3{X: 1.5}).Unit()
		v := prover{noise: 1e-9}
		at := func(label string, height float64) geom.Vec3 {
			p := drawVec3(t, label, 1).Add(geom.Vec3{Y: 1.1})
			return p.Add(n.Mul(height - p.Dot(n))).Unit()
		}
		edges := rapid.IntRange(0, 2).Draw(t, "edges in the plane")
		for k := range edges {
			e := at("edge", 0)
			if k > 0 && e.Cross(v.rays[0]).Norm() < 0.1 {
				return
			}
			v.rays = append(v.rays, e, e.Neg())
		}
		for range 3 {
			v.rays = append(v.rays, at("ray", rapid.Float64Range(0.01, 1).Draw(t, "height")))
		}
		rays := slices.Clone(v.rays)
		d, ok := v.coneDirection()
		if !ok {
			t.Fatal("no direction")
		}
		for _, r := range rays {
			if r.Dot(d) < -1e-7 {
				t.Fatalf("%v goes %g against it", r, r.Dot(d))
			}
		}
		if edges == 2 && d.Sub(n).Norm() > 1e-6 {
			t.Fatalf("%v, want %v", d, n)
		}
	})
}

func TestNoDirectionThroughACrossing(t *testing.T) {
	a := flat(rectangle(0, 0, 40, 40))
	b := upright(geom.Vec3{X: 10, Y: 20, Z: -7}, rectangle(0, 0, 20, 20))
	s := search{a: a.corners, b: b.corners}
	if d, ok := s.direction(); ok {
		t.Errorf("%v", d)
	}
}

// reach is how far points go along an axis.
func reach(points []geom.Vec3, axis geom.Vec3) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, p := range points {
		t := p.Dot(axis)
		low, high = min(low, t), max(high, t)
	}
	return low, high
}
