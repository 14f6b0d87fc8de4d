package model

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/geom"
)

// drawArea draws an area with holes: a star-shaped outline less a few rectangles
// and discs, some of which reach over its edge, touch it, or touch each other.
func drawArea(t *rapid.T) geom.Path {
	n := rapid.IntRange(3, 16).Draw(t, "corners")
	outline := make([]geom.Vec2, n)
	for i := range outline {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		r := float64(rapid.IntRange(15, 60).Draw(t, "radius"))
		outline[i] = geom.Vec2{X: r * cos, Y: r * sin}
	}
	area := geom.PolylinePath(outline, true)
	whole := func(label string, low, high int) float64 { return float64(rapid.IntRange(low, high).Draw(t, label)) }
	for range rapid.IntRange(0, 6).Draw(t, "holes") {
		x, y := whole("x", -30, 30), whole("y", -30, 30)
		hole := geom.Rect(x, y, x+whole("w", 1, 20), y+whole("h", 1, 20))
		if rapid.Bool().Draw(t, "round") {
			hole = geom.Circle(geom.Vec2{X: x, Y: y}, whole("r", 1, 10))
		}
		less, err := geom.Difference(area, hole)
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
		rings := [][]geom.Vec2{}
		want := 0.0
		for _, ring := range drawArea(t).Flatten(0.05) {
			if ring = tidy(ring); len(ring) > 2 {
				rings = append(rings, ring)
				want += geom.PolygonArea(ring)
			}
		}
		var triangles [][3]geom.Vec2
		exact := 0.0 // of the rings once they are apart
		for _, p := range polygons(rings) {
			triangles = append(triangles, triangulate(p)...)
			for _, ring := range append([][]geom.Vec2{p.outer}, p.holes...) {
				exact += geom.PolygonArea(ring)
			}
		}
		if math.Abs(exact-want) > pull*1000 {
			t.Fatalf("%.9g mm² once the rings are apart, want %.9g", exact, want)
		}
		got := 0.0
		for _, x := range triangles {
			part := turn(x[0], x[1], x[2]) / 2
			if part <= 0 {
				t.Fatalf("triangle %v turns the wrong way", x)
			}
			got += part
		}
		if math.Abs(got-exact) > 1e-9*(exact+1) {
			t.Fatalf("%.9g mm² of triangles, want %.9g", got, exact)
		}
		for range 100 {
			q := geom.Vec2{X: rapid.Float64Range(-60, 60).Draw(t, "x"), Y: rapid.Float64Range(-60, 60).Draw(t, "y")}
			in := 0
			for _, x := range triangles {
				edge := min(math.Abs(turn(x[0], x[1], q)), math.Abs(turn(x[1], x[2], q)), math.Abs(turn(x[2], x[0], q)))
				if edge < 0.1 {
					in = -1 << 30 // near a side, where it may be in two, or where rings were parted
				}
				if inTriangle(q, x[0], x[1], x[2]) {
					in++
				}
			}
			if in >= 0 && (in == 1) != geom.RingsContain(rings, q) || in > 1 {
				t.Fatalf("%v is in %d triangles", q, in)
			}
		}
	})
}

// Every corner of the rings is a corner of a triangle, so the faces meet the
// edges of the paper.
func TestTrianglesHaveAllCorners(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		corners := map[geom.Vec2]bool{}
		rings := [][]geom.Vec2{}
		for _, ring := range drawArea(t).Flatten(0.05) {
			if ring = tidy(ring); len(ring) > 2 {
				rings = append(rings, ring)
			}
		}
		for _, p := range polygons(rings) {
			for _, x := range triangulate(p) {
				for _, q := range x {
					corners[q] = true
				}
			}
			for _, ring := range append([][]geom.Vec2{p.outer}, p.holes...) {
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
	square := []geom.Vec2{{}, {X: 40}, {X: 40, Y: 40}, {Y: 40}}
	hole := func(x, y float64) []geom.Vec2 {
		return []geom.Vec2{{X: x, Y: y}, {X: x, Y: y + 5}, {X: x + 5, Y: y + 5}, {X: x + 5, Y: y}}
	}
	for _, c := range []struct {
		name string
		p    polygon
		want int
	}{
		{"a square", polygon{outer: square}, 2},
		{"a corner in a line", polygon{outer: []geom.Vec2{{}, {X: 20}, {X: 40}, {X: 40, Y: 40}, {Y: 40}}}, 3},
		{"a hole", polygon{square, [][]geom.Vec2{hole(10, 10)}}, 8},
		{"holes in a row, whose bridges meet", polygon{square, [][]geom.Vec2{hole(5, 10), hole(15, 10), hole(25, 10)}}, 20},
		{"holes in a column", polygon{square, [][]geom.Vec2{hole(10, 5), hole(10, 15), hole(10, 25)}}, 20},
	} {
		triangles := triangulate(c.p)
		if len(triangles) != c.want {
			t.Errorf("%s: %d triangles, want %d", c.name, len(triangles), c.want)
		}
	}
}

func TestIsSimple(t *testing.T) {
	for _, c := range []struct {
		name string
		ring []geom.Vec2
		want bool
	}{
		{"a triangle", []geom.Vec2{{}, {X: 1}, {Y: 1}}, true},
		{"a bow tie", []geom.Vec2{{}, {X: 1, Y: 1}, {X: 1}, {Y: 1}}, false},
		{"a corner on a side", []geom.Vec2{{}, {X: 4}, {X: 4, Y: 4}, {X: 2}, {Y: 4}}, false},
		{"a spike", []geom.Vec2{{}, {X: 4}, {X: 2}, {X: 2, Y: 4}}, false},
		{"two points", []geom.Vec2{{}, {X: 4}}, false},
	} {
		if got := isSimple(c.ring); got != c.want {
			t.Errorf("%s: %t", c.name, got)
		}
	}
}
