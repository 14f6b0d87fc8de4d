package layout

import (
	"encoding/xml"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	sf "github.com/peterstace/simplefeatures/geom"
	"pgregory.net/rapid"

	"foldwright/solver/geom"
)

// Squares of side 2 and 1: the no-fit polygon is the square from (-1, -1) to
// (2, 2), and the depth the distance to its nearest side.
func TestNoFitOfSquares(t *testing.T) {
	n := newNoFit([][]geom.Vec2{rectangle(2, 2)}, [][]geom.Vec2{rectangle(1, 1)}, nil)
	for _, c := range []struct{ x, y, d, ux, uy float64 }{
		{0.5, 0.9, 1.1, 0, 1}, {0.5, -0.75, 0.25, 0, -1}, {1.8, 0.5, 0.2, 1, 0}, {-0.9, 0.5, 0.1, -1, 0},
		{2, 0.5, 0, 0, 0}, {2.5, 0.5, 0, 0, 0}, {-1, -1, 0, 0, 0},
	} {
		d, ux, uy := n.depth(c.x, c.y)
		if math.Abs(d-c.d) > 1e-12 || math.Abs(ux-c.ux) > 1e-12 || math.Abs(uy-c.uy) > 1e-12 {
			t.Errorf("depth(%g, %g) = %g, %g, %g; want %+v", c.x, c.y, d, ux, uy, c)
		}
	}
}

// A square that fills a slot without play may slide in it: the offsets in the
// slot are a line within the no-fit polygon.
func TestNoFitKeepsSlots(t *testing.T) {
	// A block 3 by 2 with a slot 1 wide and 1 deep in the middle of its top.
	block := []geom.Vec2{{}, {X: 3}, {X: 3, Y: 2}, {X: 2, Y: 2}, {X: 2, Y: 1}, {X: 1, Y: 1}, {X: 1, Y: 2}, {Y: 2}}
	n := newNoFit(decompose([][]geom.Vec2{block}), [][]geom.Vec2{rectangle(1, 1)}, nil)
	for _, y := range []float64{1, 1.3, 1.9} {
		if n.meets(1, y) {
			t.Errorf("the square does not fit the slot at height %g", y)
		}
		// A little to the side it is caught, and the way out is back.
		if d, ux, uy := n.depth(1.05, y); math.Abs(d-0.05) > 2*contact || ux > -0.99 {
			t.Errorf("beside the slot at height %g: %g, %g, %g", y, d, ux, uy)
		}
	}
	if !n.meets(1, 0.9) {
		t.Error("the square goes through the bottom of the slot")
	}
}

// Overlap by the no-fit polygon agrees with the area another library finds in
// common, and moving by the depth parts the shapes.
func TestNoFitAgreesWithIntersection(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		a, b := star(rt, "a"), star(rt, "b")
		at := geom.Vec2{X: rapid.Float64Range(-40, 40).Draw(rt, "x"), Y: rapid.Float64Range(-40, 40).Draw(rt, "y")}
		oa, codeA := newOutline(oneRing(a...), 0)
		ob, codeB := newOutline(oneRing(b...), 0)
		if codeA != "" || codeB != "" {
			rt.Fatalf("outlines are refused: %s %s", codeA, codeB)
		}
		n := newNoFit(oa.pieces, ob.pieces, nil)
		shared := func(at geom.Vec2) float64 {
			p := Placement{At: at}
			g, err := sf.Intersection(polygonOf(rt, oneRing(a...)), polygonOf(rt, p.Apply(oneRing(b...))))
			if err != nil {
				rt.Fatal(err)
			}
			return g.Area()
		}
		d, ux, uy := n.depth(at.X, at.Y)
		area := shared(at)
		if d == 0 && area > OverlapTolerance*perimeter(oneRing(a...)) {
			rt.Fatalf("no depth, yet %g in common", area)
		}
		if d > 10*contact && area == 0 {
			rt.Fatalf("depth %g, yet nothing in common", d)
		}
		if d > 0 {
			out := at.Add(geom.Vec2{X: ux, Y: uy}.Mul(d))
			if left := shared(out); left > OverlapTolerance*perimeter(oneRing(a...)) {
				rt.Fatalf("after moving by the depth %g is still in common", left)
			}
		}
	})
}

// The pieces of an outline are convex and have its area; with the spacing's
// disc every sum stays clear of it by the spacing.
// A layout that nobody waits for makes nothing that takes long: of intricate
// shapes only the first pieces are held together.
func TestAbandonedPairIsQuick(t *testing.T) {
	comb := []geom.Vec2{{X: 41}, {}}
	for x := range 20 {
		comb = append(comb, geom.Vec2{X: float64(2 * x), Y: 9}, geom.Vec2{X: float64(2*x) + 1, Y: 9}, geom.Vec2{X: float64(2*x) + 1, Y: 1}, geom.Vec2{X: float64(2*x) + 2, Y: 1})
	}
	slices.Reverse(comb) // anticlockwise
	sums := func(abandoned bool) int {
		c := newCatalog(&Options{Abandon: func() bool { return abandoned }})
		c.shapes = []shape{{pieces: decompose([][]geom.Vec2{comb})}}
		c.seal()
		return len(c.pair(0, 0).fit.sums)
	}
	if whole, quick := sums(false), sums(true); whole < 400 || quick != 1 {
		t.Errorf("%d sums, and %d when abandoned", whole, quick)
	}
}

func TestDecomposition(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		rings := oneRing(star(rt, "outline")...)
		if rapid.Bool().Draw(rt, "holes") {
			frame := rectangle(100, 60)
			for i := range frame {
				frame[i] = frame[i].Sub(geom.Vec2{X: 30, Y: 30})
			}
			second := star(rt, "second")
			for i := range second {
				second[i].X += 44
			}
			rings = [][]geom.Vec2{frame, rings[0], second}
		}
		o, code := newOutline(rings, 0)
		if code != "" {
			rt.Fatalf("refused: %s", code)
		}
		if want := Area(o.rings); math.Abs(o.area-want) > 1e-9*want {
			rt.Fatalf("area %g, want %g", o.area, want)
		}
		sum := 0.0
		for _, p := range o.pieces {
			sum += geom.PolygonArea(p)
			for i, b := range p {
				a, c := p[(i+len(p)-1)%len(p)], p[(i+1)%len(p)]
				if b.Sub(a).Cross(c.Sub(b)) < -1e-9 {
					rt.Fatalf("piece %v is not convex", p)
				}
			}
		}
		if math.Abs(sum-o.area) > 1e-9*o.area {
			rt.Fatalf("pieces have %g, outline %g", sum, o.area)
		}
	})
}

// A simplified ring holds the old one, reaches no more than the slack beyond
// it, and has fewer corners where there are many.
func TestSimplify(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		a, b := rapid.Float64Range(5, 60).Draw(rt, "a"), rapid.Float64Range(0, 4).Draw(rt, "b")
		k, n := rapid.IntRange(2, 7).Draw(rt, "lobes"), rapid.IntRange(40, 150).Draw(rt, "points")
		slack := rapid.Float64Range(0.02, 0.5).Draw(rt, "slack")
		ring := make([]geom.Vec2, n)
		for i := range ring {
			f := 2 * math.Pi * float64(i) / float64(n)
			s, c := math.Sincos(f)
			ring[i] = geom.Vec2{X: c, Y: s}.Mul(a + b*math.Sin(float64(k)*f))
		}
		for _, hole := range []bool{false, true} {
			r := cleanRing(ring, hole)
			out := simplify(r, slack)
			if len(out) > len(r) {
				rt.Fatalf("%d corners were made of %d", len(out), len(r))
			}
			for _, v := range r {
				// Of a hole the new ring lies inside the old.
				if geom.PolygonContains(out, v) == hole && geom.PolygonDistance(out, v) > 1e-9 {
					rt.Fatalf("corner %v lost", v)
				}
			}
			for _, v := range out {
				if d := geom.PolygonDistance(r, v); d > slack+1e-9 {
					rt.Fatalf("corner %v is %g off, slack %g", v, d, slack)
				}
			}
		}
	})
	// On a circle of 96 points and radius 10 a tenth takes away every other
	// point at least: two edges of 3.75 degrees joined reach 0.005 beyond.
	circle := make([]geom.Vec2, 96)
	for i := range circle {
		s, c := math.Sincos(2 * math.Pi * float64(i) / 96)
		circle[i] = geom.Vec2{X: 10 * c, Y: 10 * s}
	}
	if out := simplify(circle, 0.1); len(out) > 48 {
		t.Errorf("%d corners are left of a circle of 96", len(out))
	}
}

// The sets carry no-fit polygons of their own, made by others. Their corners
// lie on the boundary of ours: neither clearly inside nor clearly apart.
func TestNoFitAgreesWithSets(t *testing.T) {
	type nfp struct {
		Static struct {
			Polygon string  `xml:"idPolygon,attr"`
			Angle   float64 `xml:"angle,attr"`
		} `xml:"staticPolygon"`
		Orbiting struct {
			Polygon string  `xml:"idPolygon,attr"`
			Angle   float64 `xml:"angle,attr"`
		} `xml:"orbitingPolygon"`
		Result struct {
			Polygon string `xml:"idPolygon,attr"`
		} `xml:"resultingPolygon"`
	}
	type doc struct {
		xmlNesting
		Fits []nfp `xml:"nfps>nfp"`
	}
	data, err := os.ReadFile(filepath.Join(dataFolder(t), "dighe2.xml"))
	if err != nil {
		t.Fatal(err)
	}
	var d doc
	if err := xml.Unmarshal(data, &d); err != nil {
		t.Fatal(err)
	}
	rings := d.rings(t)
	checked := 0
	for _, f := range d.Fits {
		if f.Static.Angle != 0 || f.Orbiting.Angle != 0 {
			continue
		}
		a, b, want := rings[f.Static.Polygon], rings[f.Orbiting.Polygon], rings[f.Result.Polygon]
		if len(a) < 3 || len(b) < 3 || len(want) < 3 {
			continue
		}
		oa, _ := newOutline(oneRing(a...), 0)
		ob, _ := newOutline(oneRing(b...), 0)
		n := newNoFit(oa.pieces, ob.pieces, nil)
		// Reference points differ between sources: compare up to a shift.
		box := geom.EmptyBox()
		for _, v := range want {
			box = box.Extend(v)
		}
		if s, w := n.box.Size(), box.Size(); s.Sub(w).Norm() > 1e-6 {
			t.Errorf("%s about %s: box %v, want %v", f.Orbiting.Polygon, f.Static.Polygon, s, w)
			continue
		}
		shift := n.box.Min.Sub(box.Min)
		for _, v := range want {
			v = v.Add(shift)
			near := math.Inf(1)
			for k := range n.fragments {
				d2, _, _ := n.fragments[k].distance2(v.X, v.Y)
				near = min(near, math.Sqrt(d2))
			}
			// They are written to two decimals: half of one each way.
			if near > 0.0071 {
				t.Errorf("%s about %s: corner %v is %g off the boundary", f.Orbiting.Polygon, f.Static.Polygon, v, near)
			}
		}
		checked++
	}
	if checked < 50 {
		t.Errorf("only %d no-fit polygons compared", checked)
	}
}
