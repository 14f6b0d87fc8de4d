package view

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/geom"
)

// signedArea adds up rings; a hole that runs the other way counts against its
// outline.
func signedArea(g *fragment) float64 {
	sum := 0.0
	for _, ring := range g.outline() {
		sum += geom.PolygonArea(ring)
	}
	return sum
}

// drawShape draws a star-shaped outline of up to a dozen corners about the
// origin, concave as a rule, half of the time with a hole.
func drawShape(t *rapid.T) *fragment {
	n := rapid.IntRange(3, 12).Draw(t, "corners")
	ring := make([]corner, n)
	least := math.Inf(1)
	for i := range ring {
		r := decimal(t, "r", 5, 60)
		least = min(least, r)
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		ring[i].at = geom.Vec2{X: r * cos, Y: r * sin}
	}
	g := &fragment{face: &face{frame: geom.Frame{X: geom.Vec3{X: 1}, Y: geom.Vec3{Y: 1}}}, rings: [][]corner{ring}}
	if rapid.Bool().Draw(t, "hole") {
		r := least / 4
		g.rings = append(g.rings, []corner{{at: geom.Vec2{X: -r, Y: -r}}, {at: geom.Vec2{X: -r, Y: r}}, {at: geom.Vec2{X: r, Y: r}}, {at: geom.Vec2{X: r, Y: -r}}})
	}
	g.face.whole = g
	return g
}

// drawPlane draws a plane across the shape's own; half of the time it passes
// through a corner, where rounding could lose or double a piece.
func drawPlane(t *rapid.T, g *fragment) plane {
	sin, cos := math.Sincos(float64(radians(decimal(t, "turn", 0, 360))))
	p := plane{n: geom.Vec3{X: cos, Y: sin}, c: decimal(t, "off", -40, 40)}
	if rapid.Bool().Draw(t, "through corner") {
		at := rapid.SampledFrom(g.rings[0]).Draw(t, "corner").at
		p.c = p.n.X*at.X + p.n.Y*at.Y
	}
	return p
}

const splitTolerance = 1e-3 // mm; planeTolerance of a page of 100 mm

// The parts of a split cover what was there before and nothing else, seams lie
// where both have paper, and no edge of the paper is lost or made.
func TestSplitsConservePaper(t *testing.T) {
	splits := 0
	rapid.Check(t, func(t *rapid.T) {
		pieces := []*fragment{drawShape(t)}
		whole := pieces[0]
		var planes []plane
		for range rapid.IntRange(1, 4).Draw(t, "planes") {
			p := drawPlane(t, whole)
			planes = append(planes, p)
			var next []*fragment
			for _, g := range pieces {
				if g.against(p, splitTolerance) != astride {
					next = append(next, g)
					continue
				}
				splits++
				front, back := g.split(p, splitTolerance)
				// The error of an area is that of a strip along the cut as wide
				// as the tolerance within which corners count as on it.
				if got, want := signedArea(front)+signedArea(back), signedArea(g); math.Abs(got-want) > 120*splitTolerance {
					t.Fatalf("the parts have %.9g mm², the whole %.9g", got, want)
				}
				if side := front.against(p, splitTolerance); side != before {
					t.Fatalf("the front part is %d", side)
				}
				if side := back.against(p, splitTolerance); side != behind {
					t.Fatalf("the back part is %d", side)
				}
				next = append(next, front, back)
			}
			pieces = next
		}
		checkCover(t, whole, pieces, planes)
		checkSeams(t, whole, pieces, planes)
		checkEdges(t, whole, pieces, planes)
	})
	if splits < 100 {
		t.Errorf("only %d splits", splits)
	}
}

// checkCover asks at points of a grid that every point of the whole is in one
// piece exactly and every other in none.
func checkCover(t *rapid.T, whole *fragment, pieces []*fragment, planes []plane) {
	rings := whole.outline()
	for x := -60.3; x < 60; x += 5 {
	points:
		for y := -59.9; y < 60; y += 5 {
			q := geom.Vec2{X: x, Y: y}
			for _, p := range planes {
				if math.Abs(p.n.X*x+p.n.Y*y-p.c) < 10*splitTolerance {
					continue points
				}
			}
			for _, ring := range rings {
				if geom.PolygonDistance(ring, q) < 10*splitTolerance {
					continue points
				}
			}
			want, got := 0, 0
			if geom.RingsContain(rings, q) {
				want = 1
			}
			for _, g := range pieces {
				if geom.RingsContain(g.outline(), q) {
					got++
				}
			}
			if got != want {
				t.Fatalf("%v is in %d pieces, want %d", q, got, want)
			}
		}
	}
}

// checkSeams asks that every seam runs inside the whole, and that every point
// of a cut with paper around it is on a seam of the parts on both sides.
func checkSeams(t *rapid.T, whole *fragment, pieces []*fragment, planes []plane) {
	const clear = 0.1 // mm; far above the tolerance, far below the shapes
	rings := whole.outline()
	toEdge := func(q geom.Vec2) float64 {
		near := math.Inf(1)
		for _, ring := range rings {
			near = min(near, geom.PolygonDistance(ring, q))
		}
		return near
	}
	for _, g := range pieces {
		for _, s := range g.seams {
			if middle := s[0].Lerp(s[1], 0.5); !geom.RingsContain(rings, middle) && toEdge(middle) > 2*splitTolerance {
				t.Fatalf("the seam %v is outside the paper", s)
			}
		}
	}
	for i, p := range planes {
		n := geom.Vec2{X: p.n.X, Y: p.n.Y}
	points:
		for along := -59.9; along < 60; along += 3 {
			q := n.Mul(p.c).Add(n.Perp().Mul(along))
			if !geom.RingsContain(rings, q) || toEdge(q) < clear {
				continue
			}
			for j, other := range planes {
				if line := whole.face.cutBy(other); i != j && math.Abs(line.distance(q)) < clear {
					continue points
				}
			}
			on := 0
			for _, g := range pieces {
				for _, s := range g.seams {
					if geom.PointSegmentDistance(q, s[0], s[1]) < 2*splitTolerance {
						on++
					}
				}
			}
			if on != 2 {
				t.Fatalf("%v on a cut is on %d seams, want one of either part", q, on)
			}
		}
	}
}

// checkEdges compares the length of the edges of the paper, cuts not counted.
// Only an edge along a cut may be stroked with both parts.
func checkEdges(t *rapid.T, whole *fragment, pieces []*fragment, planes []plane) {
	length := func(g *fragment) (sum float64) {
		for _, ring := range g.rings {
			for i, c := range ring {
				if c.side != cut {
					sum += ring[(i+1)%len(ring)].at.Sub(c.at).Norm()
				}
			}
		}
		return sum
	}
	got, want, twice := 0.0, length(whole), 0.0
	for _, g := range pieces {
		got += length(g)
	}
	for _, ring := range whole.rings {
		for i, c := range ring {
			next := ring[(i+1)%len(ring)].at
			for _, p := range planes {
				// A grazing edge may count as along the cut where it comes near.
				if line := whole.face.cutBy(p); math.Abs(line.distance(c.at))+math.Abs(line.distance(next)) < 1 {
					twice += next.Sub(c.at).Norm()
				}
			}
		}
	}
	// A corner within the tolerance of a cut shifts the end of its edge by the
	// tolerance over the sine of the angle between them.
	if got < want-1 || got > want+twice+1 {
		t.Fatalf("%.6g mm of edge are left of %.6g, of which %.6g may be double", got, want, twice)
	}
}
