package geom

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func mustPath(t testing.TB, s string) Path {
	t.Helper()
	p, err := ParsePath(s)
	if err != nil {
		t.Fatalf("%q: %v", s, err)
	}
	return p
}

func near(a, b, tol float64) bool { return math.Abs(a-b) <= tol }

func TestPathMeasures(t *testing.T) {
	rows := []struct {
		name, d      string
		length, area float64
		box          Box2
		source       string
	}{
		{"quay", "M0 0 H30 V10 H0 Z", 80, 300, Box2{Vec2{0, 0}, Vec2{30, 10}}, "rectangle"},
		{"open line", "M0 0 L3 4", 5, 0, Box2{Vec2{0, 0}, Vec2{3, 4}}, "3-4-5 triangle"},
		{"buoy", "M5 0 A5 5 0 0 1 -5 0 A5 5 0 0 1 5 0 Z", 10 * math.Pi, 25 * math.Pi, Box2{Vec2{-5, -5}, Vec2{5, 5}}, "circle, 2πr and πr²"},
		{"buoy clockwise", "M5 0 A5 5 0 0 0 -5 0 A5 5 0 0 0 5 0 Z", 10 * math.Pi, -25 * math.Pi, Box2{Vec2{-5, -5}, Vec2{5, 5}}, "circle run backwards"},
		{"hull", "M0 0 Q10 20 20 0 Z", 20 + 5*(2*math.Sqrt(5)+math.Asinh(2)), -400.0 / 3, Box2{Vec2{0, 0}, Vec2{20, 10}},
			"parabola y = 2x - x²/10, clockwise: ∫y dx = 400/3; y' runs from 2 to -2, so its length is 5∫√(1+u²)du over -2..2"},
		{"oval turned", "M10 0 A10 4 0 0 1 -10 0 A10 4 0 0 1 10 0 Z", 46.026221, 40 * math.Pi, Box2{Vec2{-10, -4}, Vec2{10, 4}},
			"ellipse πab; perimeter by Ramanujan's second formula, good to 1e-6 here"},
		{"cubic wave", "M0 0 C0 10 10 10 10 0 Z", 10 + 20, -60, Box2{Vec2{0, 0}, Vec2{10, 7.5}},
			"y = 30t(1-t), x' = 60t(1-t): area 1800∫t²(1-t)² = 60, top 30/4; x'²+y'² = (30(1-2t(1-t)))², whose root integrates to 20"},
	}
	for _, r := range rows {
		p := mustPath(t, r.d)
		tol := 1e-9
		if r.name == "oval turned" {
			tol = 2e-5
		}
		if got := p.Length(); !near(got, r.length, tol) {
			t.Errorf("%s: length %.9f, want %.9f (%s)", r.name, got, r.length, r.source)
		}
		if got := p.Area(); !near(got, r.area, 1e-9) {
			t.Errorf("%s: area %.9f, want %.9f (%s)", r.name, got, r.area, r.source)
		}
		b := p.Bounds()
		if b.Min.Sub(r.box.Min).Norm() > 1e-9 || b.Max.Sub(r.box.Max).Norm() > 1e-9 {
			t.Errorf("%s: bounds %v, want %v (%s)", r.name, b, r.box, r.source)
		}
	}
}

// drawPath makes a path of one to six segments of every kind, on a grid of
// micrometres: ends closer than rounding make the choice of an arc a matter of
// luck, as its definition says.
func drawPath(t *rapid.T) Path {
	coord := rapid.IntRange(-100000, 100000)
	point := func(label string) Vec2 {
		return Vec2{float64(coord.Draw(t, label+"x")) / 1000, float64(coord.Draw(t, label+"y")) / 1000}
	}
	c := Contour{Start: point("start"), Closed: rapid.Bool().Draw(t, "closed")}
	at := c.Start
	for n := rapid.IntRange(1, 6).Draw(t, "n"); n > 0; n-- {
		s := Segment{Kind: SegmentKind(rapid.IntRange(0, 3).Draw(t, "kind")), To: point("to")}
		switch s.Kind {
		case Quad:
			s.C1 = point("c1")
		case Cubic:
			s.C1, s.C2 = point("c1"), point("c2")
		case Arc:
			// Radii a little over what the chord needs: F.6 never has to act.
			r := s.To.Sub(at).Norm()/2*rapid.Float64Range(1.05, 3).Draw(t, "r") + 0.1
			s.RX, s.RY = r, r*rapid.Float64Range(1, 4).Draw(t, "ratio")
			s.Phi = Degrees(rapid.Float64Range(-80, 80).Draw(t, "phi"))
			s.Large, s.Sweep = rapid.Bool().Draw(t, "large"), rapid.Bool().Draw(t, "sweep")
		}
		c.Segments = append(c.Segments, s)
		at = s.To
	}
	return Path{c}
}

func drawPlacement(t *rapid.T) Placement {
	m := Turn(Degrees(rapid.Float64Range(-180, 180).Draw(t, "turn"))).
		Then(Scale(rapid.Float64Range(0.2, 5).Draw(t, "scale"))).
		Then(Move(Vec2{rapid.Float64Range(-50, 50).Draw(t, "dx"), rapid.Float64Range(-50, 50).Draw(t, "dy")}))
	m.Mirror = rapid.Bool().Draw(t, "mirror")
	return m
}

// Every curve stays within the tolerance of its chords: each curve is sampled
// far more finely than it was flattened, and each sample is compared with the
// chord its parameter belongs to.
func TestFlattenBound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPath(t)
		tol := math.Pow(10, rapid.Float64Range(-3, 0.5).Draw(t, "log tol"))
		total := 0
		p[0].each(func(_ int, k *curve) {
			n := k.steps(tol)
			total += n
			for j := range n {
				a, b := k.at(float64(j)/float64(n)), k.at(float64(j+1)/float64(n))
				for q := 1; q < 8; q++ {
					at := k.at((float64(j) + float64(q)/8) / float64(n))
					if d := PointSegmentDistance(at, a, b); d > tol+1e-9 {
						t.Fatalf("kind %d: %g from the chord, tolerance %g", k.kind, d, tol)
					}
				}
			}
		})
		want := total + 1
		if p[0].Closed {
			want = total
		}
		if got := len(p.Flatten(tol)[0]); got != want || p.FlatCount(tol) != total {
			t.Fatalf("%d points, want %d", got, want)
		}
	})
}

// The steps are not wasteful either: half as many would break the bound.
func TestFlattenIsTight(t *testing.T) {
	const r, tol = 40.0, 0.01
	n := len(Circle(Vec2{}, r).Flatten(tol)[0])
	// One chord of n: sagitta r(1 - cos(π/n)).
	if half := r * (1 - math.Cos(2*math.Pi/float64(n))); half < tol {
		t.Errorf("%d chords where half would do", n)
	}
	for _, v := range Circle(Vec2{}, r).Flatten(tol)[0] {
		if !near(v.Norm(), r, 1e-12*r) {
			t.Errorf("vertex %v off the circle", v)
		}
	}
}

// Lengths scale by the factor, areas by its square, with the sign of a mirror;
// and the transformed curve is the curve of transformed points.
func TestTransform(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, m := drawPath(t), drawPlacement(t)
		q := p.Transform(m)
		k := m.Factor()
		if !near(q.Length(), p.Length()*k, 1e-6*(1+p.Length()*k)) {
			t.Fatalf("length %g, want %g", q.Length(), p.Length()*k)
		}
		area := p.Area() * k * k
		if m.Mirror {
			area = -area
		}
		if !near(q.Area(), area, 1e-6*(1+p.Length()*p.Length()*k*k)) {
			t.Fatalf("area %g, want %g", q.Area(), area)
		}
		var a, b []Vec2
		p[0].each(func(_ int, c *curve) { a = append(a, m.Apply(c.at(0.3))) })
		q[0].each(func(_ int, c *curve) { b = append(b, c.at(0.3)) })
		for i := range a {
			if a[i].Sub(b[i]).Norm() > 1e-5 {
				t.Fatalf("curve %d: %v, want %v", i, b[i], a[i])
			}
		}
	})
}

func TestReverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPath(t)
		q := p.Reverse()
		if !near(q.Area(), -p.Area(), 1e-6*(1+p.Length()*p.Length())) && p[0].Closed {
			t.Fatalf("area %g, want %g", q.Area(), -p.Area())
		}
		if !near(q.Length(), p.Length(), 1e-8*(1+p.Length())) {
			t.Fatalf("length %g, want %g", q.Length(), p.Length())
		}
		if p[0].Closed && q[0].Start != p[0].Start {
			t.Fatal("a closed contour must keep its start")
		}
		if !p[0].Closed && (q[0].Start != p[0].End() || q[0].End() != p[0].Start) {
			t.Fatal("the ends must change places")
		}
	})
}

// The bounds hold every point and are touched on all four sides.
func TestBoundsAreTight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPath(t)
		b := p.Bounds()
		samples := EmptyBox()
		for _, v := range p.Flatten(1e-3)[0] {
			samples = samples.Extend(v)
		}
		if d := max(b.Min.X-samples.Min.X, b.Min.Y-samples.Min.Y, samples.Max.X-b.Max.X, samples.Max.Y-b.Max.Y); d > 1e-9 {
			t.Fatalf("a point lies %g outside", d)
		}
		// The highest point of an arc may fall between two vertices, but
		// never further above them than the chord error.
		if d := max(samples.Min.X-b.Min.X, samples.Min.Y-b.Min.Y, b.Max.X-samples.Max.X, b.Max.Y-samples.Max.Y); d > 1e-3+1e-9 {
			t.Fatalf("the bounds are %g too wide", d)
		}
	})
}

// Area and length agree with those of a fine polyline, an independent route.
func TestMeasuresAgreeWithChords(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPath(t)
		const tol = 1e-4
		ring := p.Flatten(tol)[0]
		if d := p.Area() - PolygonArea(ring); math.Abs(d) > tol*p.Length()+1e-9 {
			t.Fatalf("area %g differs from the polygon's by %g", p.Area(), d)
		}
		length := PolylinePath(ring, p[0].Closed).Length()
		if p.Length() < length-1e-9*(1+length) || p.Length()-length > 1e-3*(1+length) {
			t.Fatalf("length %g, polyline %g", p.Length(), length)
		}
	})
}

// A needle turns back within a sliver of its parameter range, where a
// quadrature rule sees nothing of it.
func TestLengthOfNeedle(t *testing.T) {
	for _, w := range []float64{1e-6, 1e-4, 1e-3, 1e-2, 0.1, 1} {
		// Controls (0,0), (w,60), (2w,0): x' = 2w, y' = 120(1-2t). With
		// u = y': length = ∫√(4w²+u²)du/240 over -120..120.
		p := Path{{Segments: []Segment{{Kind: Quad, C1: Vec2{w, 60}, To: Vec2{2 * w, 0}}}}}
		a, u := 2*w, 120.0
		want := (u*math.Hypot(u, a) + a*a*math.Asinh(u/a)) / 240
		if got := p.Length(); !near(got, want, 1e-9*want) {
			t.Errorf("w = %g: length %.12f, want %.12f", w, got, want)
		}
	}
}

// Writing at four decimals moves no curve by more than the rounding of its
// ends can: the near half turns are the hard case.
func TestFormatKeepsArcs(t *testing.T) {
	for _, deg := range []float64{10, 90, 119, 121, 179, 179.99, 180, 180.01, 270, 359, 359.99} {
		k := CircularArc(Vec2{1.234567, 2.345678}, 50, Degrees(17), Degrees(deg))
		back := mustPath(t, k.String())
		want := 50 * float64(Degrees(deg))
		if got := back.Length(); !near(got, want, 0.001) {
			t.Errorf("%g degrees: length %g, want %g", deg, got, want)
		}
		if got, want := back.Area(), k.Area(); !near(got, want, 0.02) {
			t.Errorf("%g degrees: area %g, want %g", deg, got, want)
		}
	}
}

func TestShapes(t *testing.T) {
	r := RoundedRect(0, 0, 130, 180, 4)
	if got, want := r.Area(), 130*180-(4-math.Pi)*16; !near(got, want, 1e-9) {
		t.Errorf("rounded page %g, want %g: four squares of side r less a circle", got, want)
	}
	if got, want := r.Length(), 2*(122+172)+8*math.Pi; !near(got, want, 1e-9) {
		t.Errorf("rounded page %g round, want %g", got, want)
	}
	if got := RoundedRect(0, 0, 10, 20, 99); !near(got.Area(), 100+25*math.Pi, 1e-9) {
		t.Errorf("stadium %g", got.Area())
	}
	if got := Rect(10, 20, 0, 0).String(); got != "M0 0 H10 V20 H0 Z" {
		t.Errorf("rectangle %s", got)
	}
	if got := Circle(Vec2{3, 4}, 7).Area(); !near(got, 49*math.Pi, 1e-9) {
		t.Errorf("circle %g", got)
	}
	if PolylinePath([]Vec2{{1, 1}}, true) != nil {
		t.Error("a point is no path")
	}
}

func TestPolygons(t *testing.T) {
	harbour := []Vec2{{0, 0}, {40, 0}, {40, 30}, {25, 30}, {25, 10}, {15, 10}, {15, 30}, {0, 30}}
	if got := PolygonArea(harbour); got != 1000 {
		t.Errorf("area %g, want 1000: 40 by 30 less a basin of 10 by 20", got)
	}
	for _, r := range []struct {
		p  Vec2
		in bool
	}{{Vec2{5, 20}, true}, {Vec2{20, 20}, false}, {Vec2{20, 5}, true}, {Vec2{50, 10}, false}, {Vec2{30, 10}, true}, {Vec2{-1, 10}, false}} {
		if got := PolygonContains(harbour, r.p); got != r.in {
			t.Errorf("%v inside: %v", r.p, got)
		}
	}
	if RingsContain([][]Vec2{harbour, {{2, 2}, {8, 2}, {8, 8}, {2, 8}}}, Vec2{5, 5}) {
		t.Error("a point in a hole is outside")
	}
	if got := PolygonDistance(harbour, Vec2{20, 20}); got != 5 {
		t.Errorf("distance %g from the middle of the basin, want 5", got)
	}
	if got := SegmentDistance(Vec2{0, 0}, Vec2{10, 0}, Vec2{5, -1}, Vec2{5, 1}); got != 0 {
		t.Errorf("crossing segments are %g apart", got)
	}
	if got := SegmentDistance(Vec2{0, 0}, Vec2{10, 0}, Vec2{13, 4}, Vec2{20, 9}); got != 5 {
		t.Errorf("segments %g apart, want 5", got)
	}
}

func TestBox(t *testing.T) {
	e := EmptyBox()
	if !e.Empty() || !e.Grow(9).Empty() || e.Size() != (Vec2{}) {
		t.Error("the empty box must stay empty")
	}
	a := e.Extend(Vec2{1, 2}).Extend(Vec2{-1, 5})
	if a != (Box2{Vec2{-1, 2}, Vec2{1, 5}}) || a.Union(e) != a || e.Union(a) != a {
		t.Errorf("box %v", a)
	}
	if a.Center() != (Vec2{0, 3.5}) || !a.Contains(Vec2{1, 5}) || a.Contains(Vec2{1.1, 5}) {
		t.Errorf("box %v has the wrong middle or edge", a)
	}
	if !a.Overlaps(Box2{Vec2{1, 5}, Vec2{2, 6}}) || a.Overlaps(Box2{Vec2{1.1, 5}, Vec2{2, 6}}) {
		t.Error("boxes that touch overlap, boxes apart do not")
	}
}
