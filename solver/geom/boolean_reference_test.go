package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	sf "github.com/peterstace/simplefeatures/geom"
)

// reference makes the polygon of a path for simplefeatures, on the same grid.
func reference(p Path) sf.Geometry {
	var coords []float64
	ring := p.Flatten(booleanFlatness)[0]
	for i := range len(ring) + 1 {
		q := gridOf(ring[i%len(ring)])
		coords = append(coords, float64(q.x), float64(q.y))
	}
	return sf.NewPolygon([]sf.LineString{sf.NewLineString(sf.NewSequence(coords, sf.DimXY))}).AsGeometry()
}

// Areas agree with an independent overlay, simplefeatures v0.50.0, on pairs of
// shapes. (Pairs, since its union of many overlapping polygons at once was seen
// to lose area.)
func TestBooleanReference(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	shape := func() Path {
		m := Turn(Angle(random.Float64() * 2 * math.Pi)).Then(Move(Vec2{random.Float64() * 30, random.Float64() * 30}))
		switch random.IntN(3) {
		case 0:
			return Circle(Vec2{}, 5+20*random.Float64()).Transform(m)
		case 1:
			return RoundedRect(0, 0, 10+30*random.Float64(), 10+30*random.Float64(), 4).Transform(m)
		}
		return Rect(0, 0, 2+40*random.Float64(), 2+40*random.Float64()).Transform(m)
	}
	for i := range 150 {
		a, b := shape(), shape()
		if i%3 == 0 { // a neighbour on a shared edge
			a = Rect(0, 0, 20, 12).Transform(Turn(Degrees(float64(i))))
			b = Rect(random.Float64()*8, 12, 10+random.Float64()*10, 20).Transform(Turn(Degrees(float64(i))))
		}
		ra, rb := reference(a), reference(b)
		for _, op := range []struct {
			name   string
			ours   func() (Path, error)
			theirs func(a, b sf.Geometry) (sf.Geometry, error)
		}{
			{"union", func() (Path, error) { return Union(a, b) }, sf.Union},
			{"difference", func() (Path, error) { return Difference(a, b) }, sf.Difference},
			{"intersection", func() (Path, error) { return Intersection(a, b) }, sf.Intersection},
		} {
			got, err := op.ours()
			if err != nil {
				t.Fatal(err)
			}
			want, err := op.theirs(ra, rb)
			if err != nil {
				t.Fatal(err)
			}
			// Theirs stays a polygon: off by the chord error along the curves.
			tol := (a.Length() + b.Length()) * booleanFlatness
			if area := want.Area() * booleanGrid * booleanGrid; !near(got.Area(), area, tol) {
				t.Errorf("%s of\n %s and\n %s: %.5f, reference %.5f", op.name, a, b, got.Area(), area)
			}
		}
	}
}
