package collide

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/geom"
)

// Poses in which the depth is plain to see.
func TestDepth(t *testing.T) {
	page := flat(rectangle(0, 0, 100, 100))
	window := flat(rectangle(0, 0, 100, 100), []geom.Vec2{{X: 40, Y: 40}, {X: 40, Y: 60}, {X: 60, Y: 60}, {X: 60, Y: 40}})
	// A bay 20 wide and 60 deep between two arms; its floor is at y = 40.
	bay := []geom.Vec2{{}, {X: 60}, {X: 60, Y: 100}, {X: 40, Y: 100}, {X: 40, Y: 40}, {X: 20, Y: 40}, {X: 20, Y: 100}, {Y: 100}}
	across := geom.Frame{Origin: geom.Vec3{Y: 40}, X: geom.Vec3{X: 1}, Y: geom.Vec3{Z: 1}}
	// An L that parts into two along a line from (10, 10), in x or in y.
	corner := []geom.Vec2{{}, {X: 40}, {X: 40, Y: 10}, {X: 10, Y: 10}, {X: 10, Y: 40}, {Y: 40}}
	for _, c := range []struct {
		name string
		a, b *Face
		want float64
	}{
		{"through the inside", page, upright(geom.Vec3{X: 50, Y: 50, Z: -3}, rectangle(0, 0, 10, 40)), 3},
		{"by its other end", page, upright(geom.Vec3{X: 50, Y: 50, Z: -37}, rectangle(0, 0, 10, 40)), 3},
		{"a corner through", page, upright(geom.Vec3{X: 50, Y: 50, Z: -2}, []geom.Vec2{{}, {X: 9, Y: 30}, {X: -9, Y: 30}}), 2},
		{"near its edge", page, upright(geom.Vec3{X: 50, Y: 99.5, Z: -3}, rectangle(0, 0, 10, 40)), 0.5},
		{"a corner of both", page, upright(geom.Vec3{X: 99.75, Y: 50, Z: -3}, rectangle(0, 0, 10, 40)), 0.25},
		{"standing on it", page, upright(geom.Vec3{X: 50, Y: 50}, rectangle(0, 0, 10, 40)), 0},
		{"a corner on it", page, upright(geom.Vec3{X: 50, Y: 50}, []geom.Vec2{{}, {X: 9, Y: 30}, {X: -9, Y: 30}}), 0},
		{"along its edge", page, upright(geom.Vec3{X: 50, Y: 100, Z: -3}, rectangle(0, 0, 10, 40)), 0},
		{"beside it", page, upright(geom.Vec3{X: 100, Y: 50, Z: -3}, rectangle(0, 0, 10, 40)), 0},
		{"in its window", window, upright(geom.Vec3{X: 45, Y: 50, Z: -3}, rectangle(0, 0, 10, 40)), 0},
		{"filling its window", window, upright(geom.Vec3{X: 40, Y: 50, Z: -3}, rectangle(0, 0, 20, 40)), 0},
		{"a little past its window", window, upright(geom.Vec3{X: 40, Y: 50, Z: -3}, rectangle(0, 0, 21, 40)), 1},
		{"in its plane", page, flat(rectangle(10, 10, 10, 10)), 0},
		{"beside it in its plane", page, flat(rectangle(200, 10, 10, 10)), 0},
		{"a hair below it", page, placed(geom.Frame{Origin: geom.Vec3{Z: -1e-6}, X: geom.Vec3{X: 1}, Y: geom.Vec3{Y: 1}}, rectangle(10, 10, 10, 10)), 0},
		{"on the floor of a bay", flat(bay), placed(across, rectangle(22, -3, 16, 40)), 0},
		{"into an arm of a bay", flat(bay), placed(geom.Frame{Origin: geom.Vec3{Y: 98}, X: geom.Vec3{X: 1}, Y: geom.Vec3{Z: 1}}, rectangle(22, -3, 19, 40)), 1},
		// Along the lines the faces are divided by, where neither part of one
		// alone has paper on both sides.
		{"along a seam in x", flat(corner), upright(geom.Vec3{Y: 10, Z: -3}, rectangle(-5, 0, 10, 40)), 3},
		{"along a seam in y", flat(corner), placed(geom.Frame{Origin: geom.Vec3{X: 10, Z: -3}, X: geom.Vec3{Y: 1}, Y: geom.Vec3{Z: 1}}, rectangle(-5, 0, 10, 40)), 3},
	} {
		for _, pair := range [][2]*Face{{c.a, c.b}, {c.b, c.a}} {
			got, ok := Cross(pair[0], pair[1])
			if math.Abs(got.Depth-c.want) > 1e-12 || ok != (c.want > 0) {
				t.Errorf("%s: depth %.15g, want %g", c.name, got.Depth, c.want)
			}
		}
	}
}

// The segment two plates share is where it was put.
func TestCrossingIsWhereTheyMeet(t *testing.T) {
	got, _ := Cross(flat(rectangle(0, 0, 100, 100)), upright(geom.Vec3{X: 50, Y: 30, Z: -3}, rectangle(0, 0, 10, 40)))
	if want := (geom.Vec3{X: 55, Y: 30}); got.At.Sub(want).Norm() > 1e-12 {
		t.Errorf("at %v, want %v", got.At, want)
	}
}

// Two plates hinged on an edge of each touch and no more, at any angle. Where
// they reach past the hinge, by 2 and 3, the lesser reaches through the other's
// plane by 2·sin φ; in cross-section that is the shortest way out, as the
// other's edge is further along.
func TestHingedPair(t *testing.T) {
	for degrees := 1.0; degrees < 360; degrees += 7 {
		if degrees == 180 {
			continue
		}
		page, leaf := flat(rectangle(0, 0, 20, 50)), placed(turned(degrees), rectangle(0, 0, 20, 50))
		if got, ok := Cross(page, leaf); ok {
			t.Errorf("hinged at %g: depth %g", degrees, got.Depth)
		}
		if d := Gap2(page, leaf, math.Inf(1)); d > 1e-20 {
			t.Errorf("hinged at %g: %g apart", degrees, math.Sqrt(d))
		}
		want := 2 * math.Abs(math.Sin(degrees*math.Pi/180))
		got, _ := Cross(flat(rectangle(0, -2, 20, 50)), placed(turned(degrees), rectangle(0, -3, 20, 50)))
		if math.Abs(got.Depth-want) > 1e-12 {
			t.Errorf("past the hinge at %g: depth %.15g, want %.15g", degrees, got.Depth, want)
		}
		// Side by side along the hinge, however far past it, they do not meet.
		if got, ok := Cross(flat(rectangle(0, -20, 20, 50)), placed(turned(degrees), rectangle(20, -20, 20, 50))); ok {
			t.Errorf("side by side at %g: depth %g", degrees, got.Depth)
		}
	}
}

// Parallel plates never pass through each other; they are as far apart as they
// are put.
func TestParallelPlates(t *testing.T) {
	for _, gap := range []float64{100, 1, 1e-3, 1e-6} {
		over := placed(geom.Frame{Origin: geom.Vec3{X: 7, Y: 3, Z: gap}, X: geom.Vec3{X: 0.6, Y: 0.8}, Y: geom.Vec3{X: -0.8, Y: 0.6}}, rectangle(0, 0, 30, 30))
		page := flat(rectangle(0, 0, 40, 40))
		if _, ok := Cross(page, over); ok {
			t.Errorf("%g apart: they cross", gap)
		}
		if got := math.Sqrt(Gap2(page, over, math.Inf(1))); math.Abs(got-gap) > 1e-12 {
			t.Errorf("%.15g apart, want %g", got, gap)
		}
	}
}

// Source: reference sheet 2, own checks: a parallel fold with offsets 30, 30 and
// panels 50, 50 has its ridge 66.4901 from the gutter with the pages at 90
// degrees. A mast in the cross-section, 2 wide and h high from the gutter, comes
// within, or goes through, the left panel by what its corner (-1, h) is below or
// above the line through the base (-30·sin 45°, 30·cos 45°) and the ridge.
func TestMastUnderATent(t *testing.T) {
	base := geom.Vec2{X: -30 * math.Sqrt2 / 2, Y: 30 * math.Sqrt2 / 2}
	ridge := base.Y + math.Sqrt(50*50-base.X*base.X)
	if math.Abs(ridge-66.4901) > 5e-5 {
		t.Fatalf("ridge %g from the gutter, want 66.4901", ridge)
	}
	along := geom.Vec2{Y: ridge}.Sub(base).Unit()
	panel := placed(geom.Frame{
		Origin: geom.Vec3{X: base.X, Z: base.Y}, X: geom.Vec3{Y: 1}, Y: geom.Vec3{X: along.X, Z: along.Y},
	}, rectangle(0, 0, 40, 50))
	for _, h := range []float64{40, 60, 64, 66, 68, 75} {
		mast := upright(geom.Vec3{Y: 20}, rectangle(-1, 0, 2, h))
		over := along.Cross(geom.Vec2{X: -1, Y: h}.Sub(base))
		// The ridge is right over the gutter, so the other way out is 1 to the side.
		got, crosses := Cross(panel, mast)
		if want := max(0, min(over, 1)); math.Abs(got.Depth-want) > 1e-6 || crosses != (over > 0) {
			t.Errorf("%g high: depth %.9g, want %.9g", h, got.Depth, want)
		}
		if d := math.Sqrt(Gap2(panel, mast, math.Inf(1))); over < 0 && math.Abs(d+over) > 1e-9 {
			t.Errorf("%g high: %.12g apart, want %.12g", h, d, -over)
		}
	}
}

// The verdict is that of points along the line in which the planes meet: some
// are inside both outlines, or none.
func TestCrossAgainstPoints(t *testing.T) {
	crossed, clear := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		a, b := placed(drawFrame(t, 25), drawRings(t)...), placed(drawFrame(t, 25), drawRings(t)...)
		sine := a.normal.Cross(b.normal).Norm()
		if sine < 0.1 {
			return
		}
		line := a.normal.Cross(b.normal).Mul(1 / sine)
		middle := lineAt(a, b, line, sine, a.frame.Origin.Dot(line))
		inside := func(f *Face, p geom.Vec3) bool {
			q := f.frame.Local(p)
			if math.Abs(q.Z) > 1e-9 {
				t.Fatalf("%v is %g off the plane", p, q.Z)
			}
			return geom.RingsContain(f.rings, geom.Vec2{X: q.X, Y: q.Y})
		}
		const step = 0.05
		run, longest := 0, 0
		for at := -100.0; at < 100; at += step {
			run++
			if p := middle.Add(line.Mul(at)); !inside(a, p) || !inside(b, p) {
				run = 0
			}
			longest = max(longest, run)
		}
		got, ok := Cross(a, b)
		if longest > 0 && !ok {
			t.Fatalf("%g mm in common, no crossing", float64(longest)*step)
		}
		if ok && longest == 0 && got.Depth > step {
			t.Fatalf("depth %g, nothing in common", got.Depth)
		}
		if ok {
			if p := a.frame.Local(got.At); !geom.RingsContain(a.rings, geom.Vec2{X: p.X, Y: p.Y}) && got.Depth > 1e-6 {
				t.Fatalf("%v is outside", got.At)
			}
			crossed++
		} else {
			clear++
		}
	})
	if crossed < 20 || clear < 20 {
		t.Errorf("%d crossings, %d without: the test shows little", crossed, clear)
	}
}

// No move shorter than the depth brings convex faces clear of each other, in
// whatever direction, and one hardly longer does.
func TestDepthIsTheShortestWayOut(t *testing.T) {
	tried := 0
	rapid.Check(t, func(t *rapid.T) {
		frame, ring := drawFrame(t, 20), drawConvex(t)
		a, b := placed(drawFrame(t, 20), drawConvex(t)), placed(frame, ring)
		got, ok := Cross(a, b)
		if !ok || got.Depth < 1e-3 {
			return
		}
		tried++
		clears := func(d geom.Vec3, length float64) bool {
			moved := frame
			moved.Origin = frame.Origin.Add(d.Mul(length))
			b.MoveTo(moved)
			_, still := Cross(a, b)
			return !still
		}
		out := false
		try := func(d geom.Vec3) {
			for _, d := range []geom.Vec3{d, d.Neg()} {
				if clears(d, got.Depth*(1-1e-6)) {
					t.Fatalf("clear at less than %g", got.Depth)
				}
				out = out || clears(d, got.Depth*(1+1e-6)+1e-6)
			}
		}
		try(a.frame.Normal())
		try(frame.Normal())
		for i, p := range a.corners {
			for k := range ring {
				q, r := frame.At(ring[k]), frame.At(ring[(k+1)%len(ring)])
				if axis := a.corners[(i+1)%len(a.corners)].Sub(p).Cross(r.Sub(q)); axis.Norm() > 1e-6 {
					try(axis.Unit())
				}
			}
		}
		for range 50 {
			try(drawVec3(t, "way", 1).Unit())
		}
		if !out {
			t.Fatalf("not clear at %g", got.Depth)
		}
	})
	if tried < 20 {
		t.Errorf("%d crossings: the test shows little", tried)
	}
}

// Neither where space is turned to nor which face is named first matters.
func TestCrossIsInvariant(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMotion(t)
		ra, rb := drawRings(t), drawRings(t)
		fa, fb := drawFrame(t, 25), drawFrame(t, 25)
		a, b := placed(fa, ra...), placed(fb, rb...)
		want, ok := Cross(a, b)
		swapped, okSwapped := Cross(b, a)
		apart := Gap2(a, b, math.Inf(1))
		a.MoveTo(m.frame(fa))
		b.MoveTo(m.frame(fb))
		moved, okMoved := Cross(a, b)
		const hair = 1e-6 // a depth that rounding may take for none
		if math.Abs(want.Depth-swapped.Depth) > 1e-9 || ok != okSwapped && want.Depth+swapped.Depth > hair {
			t.Fatalf("depth %.12g, %.12g the other way about", want.Depth, swapped.Depth)
		}
		if math.Abs(want.Depth-moved.Depth) > 1e-9 || ok != okMoved && want.Depth+moved.Depth > hair {
			t.Fatalf("depth %.12g, %.12g once moved", want.Depth, moved.Depth)
		}
		if d := Gap2(a, b, math.Inf(1)); math.Abs(math.Sqrt(d)-math.Sqrt(apart)) > 1e-9 {
			t.Fatalf("%.12g apart, %.12g once moved", math.Sqrt(apart), math.Sqrt(d))
		}
		if ok && (apart > 1e-18 || m.origin.Add(m.dir(want.At)).Sub(moved.At).Norm() > 1e-6) {
			t.Fatalf("%g apart; at %v, moved to %v", apart, want.At, moved.At)
		}
	})
}

func TestCrossDoesNotAllocate(t *testing.T) {
	bay := []geom.Vec2{{}, {X: 60}, {X: 60, Y: 100}, {X: 40, Y: 100}, {X: 40, Y: 40}, {X: 20, Y: 40}, {X: 20, Y: 100}, {Y: 100}}
	frame := turned(60)
	frame.Origin.Y = 50
	a, b := flat(bay), placed(frame, rectangle(-5, -30, 80, 80))
	if _, ok := Cross(a, b); !ok {
		t.Fatal("they do not cross")
	}
	if n := testing.AllocsPerRun(100, func() {
		b.MoveTo(frame)
		Cross(a, b)
		Gap2(a, b, math.Inf(1))
	}); n != 0 {
		t.Errorf("%g allocations", n)
	}
}
