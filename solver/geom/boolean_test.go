package geom

import (
	"errors"
	"math"
	"reflect"
	"testing"

	"pgregory.net/rapid"
)

func kinds(p Path) [4]int {
	var n [4]int
	for _, c := range p {
		for _, s := range c.Segments {
			n[s.Kind]++
		}
	}
	return n
}

func TestBooleanClosedForms(t *testing.T) {
	// A chord at distance d from the centre of a circle of radius r cuts off a
	// segment of area r²·acos(d/r) - d·√(r²-d²).
	segment := func(r, d float64) float64 { return r*r*math.Acos(d/r) - d*math.Sqrt(r*r-d*d) }
	half := 4*math.Sqrt(84) + 100*math.Asin(0.4)
	disc := Circle(Vec2{0, 0}, 10)
	rows := []struct {
		name                      string
		a, b                      Path
		union, difference, common float64
		source                    string
	}{
		{"lamp room on a tower", disc, Rect(-4, -40, 4, 0), 100*math.Pi + 320 - half, 100*math.Pi - half, half,
			"the strip |x| ≤ 4 meets the lower half disc in ∫√(r²-x²)dx = ½(x√(r²-x²) + r²asin(x/r))"},
		{"half sunk buoy", disc, Rect(-30, -30, 30, 6), 60*36 + segment(10, 6), segment(10, 6), 100*math.Pi - segment(10, 6),
			"circular segment beyond the chord y = 6"},
		{"two buoys", disc, Circle(Vec2{12, 0}, 10), 200*math.Pi - 2*segment(10, 6), 100*math.Pi - 2*segment(10, 6), 2 * segment(10, 6),
			"lens of two segments on the chord x = 6"},
		{"porthole", Rect(-20, -20, 20, 20), disc, 1600, 1600 - 100*math.Pi, 100 * math.Pi, "disc inside a square"},
		{"boats apart", Rect(0, 0, 4, 4), Rect(10, 0, 14, 4), 32, 16, 0, "disjoint squares"},
		{"same", disc, disc, 100 * math.Pi, 0, 100 * math.Pi, "a shape with itself"},
	}
	for _, r := range rows {
		u, err1 := Union(r.a, r.b)
		d, err2 := Difference(r.a, r.b)
		c, err3 := Intersection(r.a, r.b)
		if err := errors.Join(err1, err2, err3); err != nil {
			t.Errorf("%s: %v", r.name, err)
			continue
		}
		// Crossings are refined on the curves, so areas are good to rounding.
		const tol = 1e-8
		if !near(u.Area(), r.union, tol) || !near(d.Area(), r.difference, tol) || !near(c.Area(), r.common, tol) {
			t.Errorf("%s: union %.9f difference %.9f common %.9f,\n want %.9f %.9f %.9f (%s)",
				r.name, u.Area(), d.Area(), c.Area(), r.union, r.difference, r.common, r.source)
		}
	}
}

func TestBooleanKeepsCurves(t *testing.T) {
	u, err := Union(Circle(Vec2{0, 0}, 10), Rect(-4, -40, 4, 0))
	if err != nil {
		t.Fatal(err)
	}
	// The tower swallows the foot of the disc: two quarters whole, two cut
	// short, three sides of the tower.
	if got := kinds(u); got != [4]int{2, 0, 0, 4} {
		t.Errorf("segments %v, want 2 lines (the third closes) and 4 arcs: %s", got, u)
	}
	if len(u) != 1 || u[0].Start != (Vec2{-4, -40}) {
		t.Errorf("want one ring from the tower's foot: %s", u)
	}
	sail := mustPath(t, "M0 0 C5 20 15 25 20 30 Q25 10 20 0 Z")
	d, err := Difference(sail, Rect(-5, 10, 40, 12))
	if err != nil {
		t.Fatal(err)
	}
	if got := kinds(d); len(d) != 2 || got[Cubic] != 2 || got[Quad] != 2 || got[Arc] != 0 {
		t.Errorf("the cut must leave a cubic and a quadratic on both parts: %v %s", got, d)
	}
	same, err := Union(sail)
	if err != nil {
		t.Fatal(err)
	}
	if got := kinds(same); !near(same.Area(), math.Abs(sail.Area()), 1e-9) || got != [4]int{1, 1, 1, 0} {
		t.Errorf("a union of one keeps its curves: %s", same)
	}
}

func TestUnionOfTabs(t *testing.T) {
	hull := []Vec2{{0, 0}, {60, 0}, {70, 25}, {-10, 25}}
	// A tab on each edge in turn, its own points computed along the edge and so
	// off the grid; one on the whole edge, one on a part of it.
	for i, a := range hull {
		b := hull[(i+1)%len(hull)]
		along := b.Sub(a).Unit()
		out := along.Perp().Mul(-6)
		for _, part := range [][2]float64{{0, 1}, {0.21, 0.83}} {
			p, q := a.Lerp(b, part[0]), a.Lerp(b, part[1])
			slope := along.Mul(2)
			tab := PolylinePath([]Vec2{p, p.Add(out).Add(slope), q.Add(out).Sub(slope), q}, true)
			u, err := Union(PolylinePath(hull, true), tab)
			if err != nil {
				t.Fatal(err)
			}
			want := math.Abs(PolygonArea(hull)) + math.Abs(tab.Area())
			vertices := 6
			if part[0] > 0 {
				vertices = 8
			}
			if len(u) != 1 || !near(u.Area(), want, 1e-6) || len(u[0].Segments)+1 != vertices {
				t.Errorf("edge %d, part %v: %d rings, %d corners, area %.9f, want one ring, %d corners, area %.9f: %s",
					i, part, len(u), len(u[0].Segments)+1, u.Area(), vertices, want, u)
			}
		}
	}
}

func TestBooleanRings(t *testing.T) {
	quay := append(Rect(0, 0, 50, 30), Rect(10, 10, 20, 20)...) // both anticlockwise: even-odd all the same
	u, err := Union(quay, Rect(30, 10, 60, 20))
	if err != nil {
		t.Fatal(err)
	}
	if got, want := u.String(), "M0 0 H50 V10 H60 V20 H50 V30 H0 Z M10 10 V20 H20 V10 Z"; got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	d, err := Difference(Rect(0, 0, 40, 30), Rect(15, 10, 25, 50))
	if err != nil {
		t.Fatal(err)
	}
	if got, want := d.String(), "M0 0 H40 V30 H25 V10 H15 V30 H0 Z"; got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	two, err := Difference(Rect(0, 0, 40, 30), Rect(15, -5, 25, 50))
	if err != nil {
		t.Fatal(err)
	}
	if got, want := two.String(), "M0 0 H15 V30 H0 Z M25 0 H40 V30 H25 Z"; got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	bow, err := Union(mustPath(t, "M0 0 L10 10 L10 0 L0 10 Z"))
	if err != nil {
		t.Fatal(err)
	}
	if got, want := bow.String(), "M0 0 L5 5 L0 10 Z M10 0 V10 L5 5 Z"; got != want {
		t.Errorf("a ring that crosses itself: got %s, want %s", got, want)
	}
	touch, err := Intersection(Rect(0, 0, 10, 10), Rect(10, 0, 20, 10))
	if err != nil || len(touch) != 0 {
		t.Errorf("a shared edge is no area: %v %v", touch, err)
	}
	nothing, err := Union()
	if err != nil || len(nothing) != 0 {
		t.Errorf("union of nothing: %v %v", nothing, err)
	}
	if only, err := Union(nil, Rect(0, 0, 1, 1)); err != nil || only.String() != "M0 0 H1 V1 H0 Z" {
		t.Errorf("union with nothing: %v %v", only, err)
	}
	if gone, err := Difference(Rect(0, 0, 1, 1), Rect(-1, -1, 2, 2)); err != nil || len(gone) != 0 {
		t.Errorf("all taken away: %v %v", gone, err)
	}
}

func TestBooleanRefuses(t *testing.T) {
	if _, err := Union(Rect(0, 0, 60_000, 1)); !errors.Is(err, ErrPathTooFar) {
		t.Errorf("far path: %v", err)
	}
	var many []Path
	for i := range 60 {
		many = append(many, Circle(Vec2{float64(i), 0}, 40_000))
	}
	if _, err := Union(many...); !errors.Is(err, ErrPathTooFine) {
		t.Errorf("fine paths: %v", err)
	}
}

// drawArea makes a closed shape without self-crossings: a turned rectangle, a
// star-shaped polygon, a disc, a rounded card or a sail.
func drawArea(t *rapid.T, label string) Path {
	num := func(name string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(t, label+name) }
	var p Path
	switch rapid.IntRange(0, 4).Draw(t, label+"shape") {
	case 0:
		p = Rect(0, 0, num("w", 1, 60), num("h", 1, 60))
	case 1:
		var points []Vec2
		n := rapid.IntRange(3, 12).Draw(t, label+"n")
		for i := range n {
			sin, cos := Degrees(360 * float64(i) / float64(n)).Sincos()
			points = append(points, Vec2{cos, sin}.Mul(num("r", 5, 40)))
		}
		p = PolylinePath(points, true)
	case 2:
		p = Circle(Vec2{}, num("r", 2, 40))
	case 3:
		p = RoundedRect(0, 0, num("w", 5, 60), num("h", 5, 60), num("r", 0.5, 10))
	default:
		p = Path{{Closed: true, Segments: []Segment{
			{Kind: Cubic, C1: Vec2{num("a", 1, 20), 15}, C2: Vec2{num("b", 1, 20), 30}, To: Vec2{0, 45}},
			{Kind: Quad, C1: Vec2{-num("c", 1, 30), 20}, To: Vec2{}},
		}}}
	}
	m := Turn(Degrees(num("turn", -180, 180))).Then(Move(Vec2{num("x", -20, 20), num("y", -20, 20)}))
	m.Mirror = rapid.Bool().Draw(t, label+"mirror")
	return p.Transform(m)
}

func checkBoolean(t *rapid.T, a, b Path) {
	u, err1 := Union(a, b)
	d, err2 := Difference(a, b)
	e, err3 := Difference(b, a)
	c, err4 := Intersection(a, b)
	if err := errors.Join(err1, err2, err3, err4); err != nil {
		t.Fatalf("%v\n a %s\n b %s", err, a, b)
	}
	areaA, areaB := math.Abs(a.Area()), math.Abs(b.Area())
	// Each outline may be off by the weld distance along its length, and a
	// sliver of the least width may go.
	tol := (a.Length() + b.Length()) * (booleanWeld*booleanGrid + booleanSliver)
	for _, r := range []struct {
		name      string
		got, want float64
	}{
		{"A∪B + A∩B = A + B", u.Area() + c.Area(), areaA + areaB},
		{"A\\B + A∩B = A", d.Area() + c.Area(), areaA},
		{"B\\A + A∩B = B", e.Area() + c.Area(), areaB},
	} {
		if !near(r.got, r.want, tol) {
			t.Fatalf("%s: %.6f, want %.6f\n a %s\n b %s", r.name, r.got, r.want, a, b)
		}
	}
	for _, p := range []Path{u, d, e, c} {
		for i := range p {
			if !p[i].Closed || p[i].Area() == 0 {
				t.Fatalf("ring %d of %s", i, p)
			}
		}
	}
	again, _ := Union(a, b)
	if !reflect.DeepEqual(u, again) {
		t.Fatal("the same union came out differently")
	}
}

func TestBooleanAreas(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) { checkBoolean(t, drawArea(t, "a "), drawArea(t, "b ")) })
}

// Shapes that share stretches of outline are the usual case, and the hard one:
// tabs on edges, pieces of one disc, mirrored halves.
func TestBooleanSharedEdges(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		num := func(name string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
		var a, b Path
		switch rapid.IntRange(0, 3).Draw(t, "case") {
		case 0: // a tab on a part of an edge
			a = Rect(0, 0, 50, 30)
			b = Rect(num("from", 0, 20), 30, num("to", 25, 50), 36)
		case 1: // pie slices of one disc that overlap along their arcs
			slice := func(from, turn float64) Path {
				p := CircularArc(Vec2{}, 30, Degrees(from), Degrees(turn))
				p[0].Segments = append(p[0].Segments, Segment{Kind: Line})
				p[0].Closed = true
				return p
			}
			a, b = slice(0, num("turn a", 20, 170)), slice(num("from b", 1, 19), num("turn b", 20, 170))
		case 2: // two pieces of one sail, cut at different heights
			sail := Path{{Closed: true, Segments: []Segment{
				{Kind: Cubic, C1: Vec2{20, 10}, C2: Vec2{15, 40}, To: Vec2{0, 50}}}}}
			var err error
			if a, err = Difference(sail, Rect(-1, num("top", 25, 45), 40, 60)); err != nil {
				t.Fatal(err)
			}
			if b, err = Difference(sail, Rect(-1, -1, 40, num("bottom", 5, 24))); err != nil {
				t.Fatal(err)
			}
		case 3: // a half and its mirror image on a common fold
			a = RoundedRect(0, 0, 30, 40, num("r", 0.5, 8))
			b = a.Transform(Placement{C: -1, Mirror: true, S: 0}) // (x, y) to (-x, y)
		}
		m := Turn(Degrees(num("angle", -180, 180))).Then(Move(Vec2{num("x", -90, 90), num("y", -90, 90)}))
		a, b = a.Transform(m), b.Transform(m)
		checkBoolean(t, a, b)
		if u, _ := Union(a, b); len(u) != 1 {
			t.Fatalf("%d rings, want one: %s", len(u), u)
		}
	})
}

// Many pieces at once must give what one after the other gives, and the same
// every time.
func TestUnionOfMany(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 12).Draw(t, "n")
		m := Turn(Degrees(rapid.Float64Range(-180, 180).Draw(t, "turn")))
		var pieces []Path
		var step Path
		length := 0.0
		for i := range n {
			// A row of quay stones, neighbours sharing edges, with shapes on top.
			x := 10 * float64(i)
			pieces = append(pieces, Rect(x, 0, x+10, rapid.Float64Range(5, 20).Draw(t, "height")).Transform(m))
			if rapid.Bool().Draw(t, "more") {
				pieces = append(pieces, drawArea(t, "top "))
			}
		}
		all, err := Union(pieces...)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range pieces {
			length += p.Length()
			if step, err = Union(step, p); err != nil {
				t.Fatal(err)
			}
		}
		if tol := length * (booleanWeld*booleanGrid + booleanSliver); !near(all.Area(), step.Area(), tol) {
			t.Fatalf("at once %.6f, one by one %.6f: %v", all.Area(), step.Area(), pieces)
		}
		if again, _ := Union(pieces...); !reflect.DeepEqual(all, again) {
			t.Fatal("the same union came out differently")
		}
	})
}

// A tab on a figure, the everyday case.
func BenchmarkUnionTab(b *testing.B) {
	figure := mustPath(b, "M-11 0 C-10 22 -7 40 -6 62 H-8 A3 3 0 0 0 -8 68 H-5.5 V78 A5.5 5.5 0 0 0 5.5 78 V68 H8 A3 3 0 0 0 8 62 H6 C7 40 10 22 11 0 Z")
	tab := mustPath(b, "M-11 0 L-9 -8 H9 L11 0 Z")
	for b.Loop() {
		if _, err := Union(figure, tab); err != nil {
			b.Fatal(err)
		}
	}
}

// Growing one part of many pieces, as sheets and pages need it.
func BenchmarkUnion200(b *testing.B) {
	var pieces []Path
	for i := range 200 {
		m := Turn(Degrees(float64(i) * 7)).Then(Move(Vec2{float64(i%20) * 9, float64(i/20) * 9}))
		pieces = append(pieces, RoundedRect(0, 0, 12, 8, 2).Transform(m))
	}
	for b.Loop() {
		if _, err := Union(pieces...); err != nil {
			b.Fatal(err)
		}
	}
}

// FuzzUnion: any outline that parses unites or is refused for its size; the result
// is closed, right way round and the same when united again.
func FuzzUnion(f *testing.F) {
	for _, s := range fuzzSeeds {
		f.Add(s)
	}
	f.Add("M0 0 H20 V20 H0 Z M10 10 H30 V30 H10 Z M0 0 L20 20 L0 20 L20 0 Z")
	f.Fuzz(func(t *testing.T, s string) {
		p, err := ParsePath(s)
		if err != nil || p.FlatCount(booleanFlatness) > 3000 {
			return
		}
		u, err := Union(p)
		if err != nil {
			if errors.Is(err, ErrPathTangled) {
				t.Fatalf("%q: %v", s, err)
			}
			return
		}
		for i := range u {
			if !u[i].Closed || len(u[i].Segments) == 0 || math.IsNaN(u[i].Area()) {
				t.Fatalf("%q: ring %d of %s", s, i, u)
			}
		}
		tol := (1 + p.Length()) * 2 * booleanSliver
		again, err := Union(u)
		if err != nil || !near(again.Area(), u.Area(), tol) {
			t.Fatalf("%q: area %g, again %g (%v)", s, u.Area(), again.Area(), err)
		}
	})
}
