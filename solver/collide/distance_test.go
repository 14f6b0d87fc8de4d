package collide

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/geom"
)

func TestGap(t *testing.T) {
	page := flat(rectangle(0, 0, 100, 100))
	window := flat(rectangle(0, 0, 100, 100), rectangle(40, 40, 20, 20))
	// A bay 20 wide and 60 deep between two arms.
	bay := flat([]geom.Vec2{{}, {X: 60}, {X: 60, Y: 100}, {X: 40, Y: 100}, {X: 40, Y: 40}, {X: 20, Y: 40}, {X: 20, Y: 100}, {Y: 100}})
	for _, c := range []struct {
		name string
		a, b *Face
		want float64
	}{
		{"corner over the inside", page, upright(geom.Vec3{X: 50, Y: 50, Z: 7}, rectangle(0, 0, 10, 10)), 7},
		{"corner beside a side", page, upright(geom.Vec3{X: 103, Y: 50, Z: 4}, rectangle(0, 0, 10, 10)), 5},
		{"corner to corner", page, upright(geom.Vec3{X: 102, Y: 103, Z: 6}, rectangle(0, 0, 10, 10)), 7},
		{"side across a side", page, upright(geom.Vec3{X: 103, Y: 50, Z: -5}, rectangle(0, 0, 10, 10)), 3},
		{"side through the inside", page, upright(geom.Vec3{X: 50, Y: 50, Z: -5}, rectangle(0, 0, 10, 10)), 0},
		{"touching", page, upright(geom.Vec3{X: 100, Y: 50}, rectangle(0, 0, 10, 10)), 0},
		{"through a window", window, upright(geom.Vec3{X: 45, Y: 46, Z: -5}, rectangle(0, 0, 10, 10)), 5},
		{"over a window", window, upright(geom.Vec3{X: 44, Y: 50, Z: 3}, rectangle(0, 0, 12, 10)), 5},
		{"in a bay", bay, upright(geom.Vec3{X: 26, Y: 70, Z: -5}, rectangle(0, 0, 10, 10)), 4},
		{"over a bay", bay, upright(geom.Vec3{X: 23, Y: 70, Z: 4}, rectangle(0, 0, 10, 10)), 5},
		{"over an arm", bay, upright(geom.Vec3{X: 5, Y: 70, Z: 4}, rectangle(0, 0, 10, 10)), 4},
		{"in one plane, one in the other", page, flat(rectangle(40, 40, 5, 5)), 0},
		{"in one plane, in the window", window, flat(rectangle(48, 46, 5, 5)), 6},
		{"in one plane, beside", page, flat(rectangle(103, 104, 5, 5)), 5},
	} {
		for _, pair := range [][2]*Face{{c.a, c.b}, {c.b, c.a}} {
			n := Nearest{Gap2: math.Inf(1)}
			n.Between(pair[0], pair[1])
			if got := math.Sqrt(n.Gap2); math.Abs(got-c.want) > 1e-12 {
				t.Errorf("%s: %.15g, want %g", c.name, got, c.want)
			}
			if got := n.P.Sub(n.Q).Norm(); math.Abs(got-c.want) > 1e-12 {
				t.Errorf("%s: the points are %.15g apart, want %g", c.name, got, c.want)
			}
			if got := Gap2(pair[0], pair[1], 1); c.want >= 1 && got != 1 {
				t.Errorf("%s: %g below a best of 1", c.name, got)
			}
		}
	}
}

// The squared distance between points of two segments is convex in both, so
// that narrowing down one inside the other finds the least.
func TestSegmentGap(t *testing.T) {
	nearest := func(f func(float64) float64) float64 {
		lo, hi := 0.0, 1.0
		for range 60 {
			third := (hi - lo) / 3
			if f(lo+third) < f(hi-third) {
				hi -= third
			} else {
				lo += third
			}
		}
		return f((lo + hi) / 2)
	}
	rapid.Check(t, func(t *rapid.T) {
		var c [4]geom.Vec3
		for i := range c {
			at := func(label string) float64 { return float64(rapid.IntRange(-3, 3).Draw(t, label)) }
			c[i] = geom.Vec3{X: at("x"), Y: at("y"), Z: at("z")}
		}
		p, q, r, s := c[0], c[1], c[2], c[3]
		want := nearest(func(u float64) float64 {
			return nearest(func(v float64) float64 {
				d := p.Add(q.Sub(p).Mul(u)).Sub(r.Add(s.Sub(r).Mul(v)))
				return d.Dot(d)
			})
		})
		got, onPQ, onRS := segmentGap2(p, q, r, s)
		if d := onPQ.Sub(onRS); math.Abs(got-want) > 1e-6 || math.Abs(d.Dot(d)-want) > 1e-6 {
			t.Fatalf("%.12g, want %.12g", got, want)
		}
	})
}
