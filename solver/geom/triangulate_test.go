package geom

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// drawHoledArea draws an area with holes: a star-shaped outline less a few rectangles
// and discs, some of which reach over its edge, touch it, or touch each other.
func drawHoledArea(t *rapid.T) Path {
	n := rapid.IntRange(3, 16).Draw(t, "corners")
	outline := make([]Vec2, n)
	for i := range outline {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		r := float64(rapid.IntRange(15, 60).Draw(t, "radius"))
		outline[i] = Vec2{X: r * cos, Y: r * sin}
	}
	area := PolylinePath(outline, true)
	whole := func(label string, low, high int) float64 { return float64(rapid.IntRange(low, high).Draw(t, label)) }
	for range rapid.IntRange(0, 6).Draw(t, "holes") {
		x, y := whole("x", -30, 30), whole("y", -30, 30)
		hole := Rect(x, y, x+whole("w", 1, 20), y+whole("h", 1, 20))
		if rapid.Bool().Draw(t, "round") {
			hole = Circle(Vec2{X: x, Y: y}, whole("r", 1, 10))
		}
		less, err := Difference(area, hole)
		if err != nil {
			t.Fatal(err)
		}
		area = less
	}
	return area
}

// Triangles cover an area once: their areas add up to it, all turn the same way,
// and every point of it is in one of them. What is drawn in to part rings that
// touch is less than a thousandth of their length.
func TestTrianglesCoverOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rings := [][]Vec2{}
		want := 0.0
		for _, ring := range drawHoledArea(t).Flatten(0.05) {
			if ring = TidyRing(ring); len(ring) > 2 {
				rings = append(rings, ring)
				want += PolygonArea(ring)
			}
		}
		var triangles [][3]Vec2
		exact := 0.0 // of the rings once they are apart
		for _, p := range Areas(rings) {
			triangles = append(triangles, p.Triangles()...)
			for _, ring := range p.Rings() {
				exact += PolygonArea(ring)
			}
		}
		if math.Abs(exact-want) > pull*1000 {
			t.Fatalf("%.9g mm² once the rings are apart, want %.9g", exact, want)
		}
		got := 0.0
		for _, x := range triangles {
			part := turning(x[0], x[1], x[2]) / 2
			if part <= 0 {
				t.Fatalf("triangle %v turns the wrong way", x)
			}
			got += part
		}
		if math.Abs(got-exact) > 1e-9*(exact+1) {
			t.Fatalf("%.9g mm² of triangles, want %.9g", got, exact)
		}
		for range 100 {
			q := Vec2{X: rapid.Float64Range(-60, 60).Draw(t, "x"), Y: rapid.Float64Range(-60, 60).Draw(t, "y")}
			in := 0
			for _, x := range triangles {
				edge := min(math.Abs(turning(x[0], x[1], q)), math.Abs(turning(x[1], x[2], q)), math.Abs(turning(x[2], x[0], q)))
				if edge < 0.1 {
					in = -1 << 30 // near a side, where it may be in two, or where rings were parted
				}
				if inTriangle(q, x[0], x[1], x[2]) {
					in++
				}
			}
			if in >= 0 && (in == 1) != RingsContain(rings, q) || in > 1 {
				t.Fatalf("%v is in %d triangles", q, in)
			}
		}
	})
}

// Every corner of the rings is a corner of a triangle, so the faces meet the
// edges of the paper.
func TestTrianglesHaveAllCorners(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		corners := map[Vec2]bool{}
		rings := [][]Vec2{}
		for _, ring := range drawHoledArea(t).Flatten(0.05) {
			if ring = TidyRing(ring); len(ring) > 2 {
				rings = append(rings, ring)
			}
		}
		for _, p := range Areas(rings) {
			for _, x := range p.Triangles() {
				for _, q := range x {
					corners[q] = true
				}
			}
			for _, ring := range p.Rings() {
				for _, q := range ring {
					if !corners[q] {
						t.Fatalf("%v is no corner of a triangle", q)
					}
				}
			}
		}
	})
}

// A number of triangles follows from Euler's formula: corners + 2·holes - 2.
func TestTriangleCount(t *testing.T) {
	square := []Vec2{{}, {X: 40}, {X: 40, Y: 40}, {Y: 40}}
	hole := func(x, y float64) []Vec2 {
		return []Vec2{{X: x, Y: y}, {X: x, Y: y + 5}, {X: x + 5, Y: y + 5}, {X: x + 5, Y: y}}
	}
	for _, c := range []struct {
		name string
		p    Area
		want int
	}{
		{"a square", Area{Outer: square}, 2},
		{"a corner in a line", Area{Outer: []Vec2{{}, {X: 20}, {X: 40}, {X: 40, Y: 40}, {Y: 40}}}, 3},
		{"a hole", Area{square, [][]Vec2{hole(10, 10)}}, 8},
		{"holes in a row, whose bridges meet", Area{square, [][]Vec2{hole(5, 10), hole(15, 10), hole(25, 10)}}, 20},
		{"holes in a column", Area{square, [][]Vec2{hole(10, 5), hole(10, 15), hole(10, 25)}}, 20},
	} {
		triangles := c.p.Triangles()
		if len(triangles) != c.want {
			t.Errorf("%s: %d triangles, want %d", c.name, len(triangles), c.want)
		}
	}
}

func TestIsSimple(t *testing.T) {
	for _, c := range []struct {
		name string
		ring []Vec2
		want bool
	}{
		{"a triangle", []Vec2{{}, {X: 1}, {Y: 1}}, true},
		{"a bow tie", []Vec2{{}, {X: 1, Y: 1}, {X: 1}, {Y: 1}}, false},
		{"a corner on a side", []Vec2{{}, {X: 4}, {X: 4, Y: 4}, {X: 2}, {Y: 4}}, false},
		{"a spike", []Vec2{{}, {X: 4}, {X: 2}, {X: 2, Y: 4}}, false},
		{"two points", []Vec2{{}, {X: 4}}, false},
	} {
		if got := IsSimple(c.ring); got != c.want {
			t.Errorf("%s: %t", c.name, got)
		}
	}
}
