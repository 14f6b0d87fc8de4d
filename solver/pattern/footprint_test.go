package pattern

import (
	"testing"

	sf "github.com/peterstace/simplefeatures/geom"

	"foldwright/solver/geom"
	"foldwright/testdata/designs"
)

// areaOf is an area in the independent geometry library.
func areaOf(t *testing.T, rings ...[]geom.Vec2) sf.Geometry {
	t.Helper()
	var lines []sf.LineString
	for _, r := range rings {
		var c []float64
		for i := range len(r) + 1 {
			c = append(c, r[i%len(r)].X, r[i%len(r)].Y)
		}
		lines = append(lines, sf.NewLineString(sf.NewSequence(c, sf.DimXY)))
	}
	g := sf.NewPolygon(lines)
	if err := g.Validate(); err != nil {
		t.Fatal(err)
	}
	return g.AsGeometry()
}

// The footprint of a part covers its paper and what is written below it, and
// is no more than its paper where nothing is.
func TestFootprint(t *testing.T) {
	const tol = 0.01
	widened := 0
	for _, name := range []string{"harbour", "ferry", "tide_clock", "signal"} {
		raw, _ := designs.Read(name)
		p := mustMake(t, assembly(t, string(raw)), DefaultOptions())
		for i := range p.Parts {
			part := &p.Parts[i]
			rings := part.Footprint(tol)
			foot := areaOf(t, rings[0])
			covers := func(what string, ring []geom.Vec2) {
				left, err := sf.Difference(areaOf(t, ring), foot)
				if err != nil || left.Area() > joinedTolerance*(part.Outline.Length()+10) {
					t.Errorf("%s, %s: %g mm² of %s are outside (%v)", name, part.ID, left.Area(), what, err)
				}
			}
			covers("the paper", part.Outline.Flatten(tol)[0])
			below := false
			for _, l := range part.Labels {
				r := newTextBox(l.At, TextWidth(l.Text, l.Height), l.Height, l.Angle)
				if r.box().Min.Y < part.Bounds().Min.Y {
					below = true
					covers(l.Text, r.corners())
				}
			}
			if below {
				widened++
			} else if a := foot.Area(); a > 1.001*abs(part.Outline.Area()) {
				t.Errorf("%s, %s: takes up %g mm², its outline %g", name, part.ID, a, abs(part.Outline.Area()))
			}
			if len(rings) != 1+len(part.Holes) {
				t.Errorf("%s, %s: %d rings for %d holes", name, part.ID, len(rings), len(part.Holes))
			}
		}
	}
	if widened == 0 {
		t.Error("no part is written below")
	}
}

// A cut that runs past the paper keeps others away.
func TestFootprintOfLongCut(t *testing.T) {
	part := Part{
		Outline: geom.Rect(0, 0, 20, 10),
		Cuts:    geom.PolylinePath([]geom.Vec2{{X: 5, Y: 5}, {X: 5, Y: 15}}, false),
	}
	box := geom.EmptyBox()
	for _, v := range part.Footprint(0.01)[0] {
		box = box.Extend(v)
	}
	if box.Max.Y < 15 {
		t.Errorf("the cut sticks out of %v", box)
	}
}
