package layout

import (
	"bytes"
	"fmt"
	"os"
	"testing"

	sf "github.com/peterstace/simplefeatures/geom"

	"foldwright/solver/geom"
)

// reporter is what plain and property tests have in common.
type reporter interface {
	Helper()
	Error(...any)
	Errorf(string, ...any)
	Fatal(...any)
	Fatalf(string, ...any)
}

// polygonOf hands rings to the independent library.
func polygonOf(t reporter, rings [][]geom.Vec2) sf.Geometry {
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
		t.Fatalf("outline: %v", err)
	}
	return g.AsGeometry()
}

func perimeter(rings [][]geom.Vec2) float64 {
	sum := 0.0
	for _, r := range rings {
		for i, a := range r {
			sum += r[(i+1)%len(r)].Sub(a).Norm()
		}
	}
	return sum
}

// assertPlacements holds placements against the other library: every pair on a
// sheet shares no more area than the tolerance times the shorter outline, and
// keeps its spacing; everything is inside its box; every copy is there once.
func assertPlacements(t reporter, items []Item, placements []Placement, boxes []geom.Box2, spacing float64) {
	t.Helper()
	type key struct{ item, copy int }
	seen := map[key]bool{}
	rings := make([][][]geom.Vec2, len(placements))
	shapes := make([]sf.Geometry, len(placements))
	bounds := make([]geom.Box2, len(placements))
	for i := range placements {
		p := &placements[i]
		k := key{p.Item, p.Copy}
		if seen[k] || p.Copy < 0 || p.Copy >= items[p.Item].count() {
			t.Errorf("item %d copy %d is placed twice or does not exist", p.Item, p.Copy)
		}
		seen[k] = true
		rings[i] = p.Apply(items[p.Item].Rings)
		shapes[i] = polygonOf(t, rings[i])
		bounds[i] = geom.EmptyBox()
		for _, v := range rings[i][0] {
			bounds[i] = bounds[i].Extend(v)
		}
		box := boxes[p.Sheet].Grow(OverlapTolerance)
		if b := bounds[i]; b.Min.X < box.Min.X || b.Min.Y < box.Min.Y || b.Max.X > box.Max.X || b.Max.Y > box.Max.Y {
			t.Errorf("item %d copy %d at %v is outside %v", p.Item, p.Copy, b, box)
		}
	}
	for i := range placements {
		for j := range i {
			if placements[i].Sheet != placements[j].Sheet || !boxesWithin(bounds[i], bounds[j], spacing) {
				continue
			}
			shared, err := sf.Intersection(shapes[i], shapes[j])
			if err != nil {
				t.Fatal(err)
			}
			limit := OverlapTolerance * min(perimeter(rings[i]), perimeter(rings[j]))
			if a := shared.Area(); a > limit {
				t.Errorf("placements %d and %d share %g, more than %g", i, j, a, limit)
			}
			if spacing > 0 {
				if d, ok := sf.Distance(shapes[i], shapes[j]); !ok || d < spacing-OverlapTolerance {
					t.Errorf("placements %d and %d are %g apart, less than %g", i, j, d, spacing)
				}
			}
		}
	}
}

func assertStrip(t reporter, items []Item, width, spacing float64, r *StripLayout) {
	t.Helper()
	want := 0
	for i := range items {
		want += items[i].count()
	}
	if len(r.Placements) != want {
		t.Errorf("%d placements, want %d", len(r.Placements), want)
	}
	assertPlacements(t, items, r.Placements, []geom.Box2{{Max: geom.Vec2{X: r.Length, Y: width}}}, spacing)
}

// writeSVG draws the placements of one sheet, for looking at.
func writeSVG(t testing.TB, file string, items []Item, placements []Placement, sheet int, w, h float64) {
	t.Helper()
	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %g %g" width="1000"><g transform="matrix(1 0 0 -1 0 %g)" stroke="#223" stroke-width="%g"><rect width="%g" height="%g" fill="#fff"/>`, w, h, h, h/400, w, h)
	for _, p := range placements {
		if p.Sheet != sheet {
			continue
		}
		fmt.Fprintf(&b, `<path fill-rule="evenodd" fill="hsl(%d,55%%,75%%)" d="`, p.Item*67%360)
		for _, r := range p.Apply(items[p.Item].Rings) {
			for i, v := range r {
				c := "L"
				if i == 0 {
					c = "M"
				}
				fmt.Fprintf(&b, "%s%.4f %.4f", c, v.X, v.Y)
			}
			b.WriteString("Z")
		}
		b.WriteString(`"/>`)
	}
	b.WriteString("</g></svg>")
	if err := os.WriteFile(file, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}
