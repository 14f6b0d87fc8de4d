package collide

import (
	"math"
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

// Two sectors with their tips in the origin, on either side of a plane through
// it: a direction is found along which neither passes the tip.
func TestDirectionFromATip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := drawVec3(t, "normal", 1).Add(geom.Vec3{X: 1.5}).Unit()
		sector := func(label string, sign float64) []geom.Vec3 {
			var out []geom.Vec3
			for range 3 {
				p := drawVec3(t, label, 1)
				p = p.Add(n.Mul(sign*rapid.Float64Range(0.01, 1).Draw(t, "height") - p.Dot(n)))
				out = append(out, p.Unit())
			}
			return out
		}
		s := search{a: sector("a", -1), b: sector("b", 1), cone: true}
		d, ok := s.direction()
		if !ok {
			t.Fatal("no direction")
		}
		_, high := reach(s.a, d)
		low, _ := reach(s.b, d)
		if high > 0 || low < 0 {
			t.Fatalf("a reaches %g, b begins at %g", high, low)
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
