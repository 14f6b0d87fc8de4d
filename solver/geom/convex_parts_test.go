package geom

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Parts are convex, cover the area once and reach no further than its rings.
func TestConvexPartsCoverOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rings := [][]Vec2{}
		for _, ring := range drawHoledArea(t).Flatten(0.05) {
			if ring = TidyRing(ring); len(ring) > 2 {
				rings = append(rings, ring)
			}
		}
		triangles, want := 0, 0.0
		for _, a := range Areas(rings) {
			triangles += len(a.Triangles())
			for _, r := range a.Rings() {
				want += PolygonArea(r)
			}
		}
		got := 0.0
		parts := ConvexParts(rings)
		for _, p := range parts {
			got += PolygonArea(p)
			for i, b := range p {
				if !isConvex(p[(i+len(p)-1)%len(p)], b, p[(i+1)%len(p)]) {
					t.Fatalf("a corner at %v turns in", b)
				}
			}
		}
		if math.Abs(got-want) > 1e-9*want || len(parts) > triangles {
			t.Fatalf("%d parts of %.12g mm², want %.12g", len(parts), got, want)
		}
	})
}

func TestConvexPartsAreFew(t *testing.T) {
	square := []Vec2{{}, {X: 40}, {X: 40, Y: 40}, {Y: 40}}
	hole := []Vec2{{X: 10, Y: 10}, {X: 10, Y: 30}, {X: 30, Y: 30}, {X: 30, Y: 10}}
	disc := Circle(Vec2{}, 30).Flatten(0.02)
	for _, c := range []struct {
		name  string
		rings [][]Vec2
		most  int
	}{
		{"a square", [][]Vec2{square}, 1},
		{"a disc", disc, 1},
		{"an L", [][]Vec2{{{}, {X: 40}, {X: 40, Y: 10}, {X: 10, Y: 10}, {X: 10, Y: 40}, {Y: 40}}}, 2},
		{"a frame", [][]Vec2{square, hole}, 6},
	} {
		if got := len(ConvexParts(c.rings)); got == 0 || got > c.most {
			t.Errorf("%s: %d parts, want %d at most", c.name, got, c.most)
		}
	}
}
