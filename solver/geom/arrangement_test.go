package geom

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Every region lies in the paths of its set: areas of rectangles by how many
// hold a place agree with inclusion and exclusion, the sum over the regions of
// how many hold them being the sum of the areas of all.
func TestArrangement(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var paths []Path
		whole := 0.0
		for range rapid.IntRange(1, 70).Draw(t, "paths") { // more than one word of a set
			x, y := rapid.Float64Range(0, 50).Draw(t, "x"), rapid.Float64Range(0, 50).Draw(t, "y")
			w, h := rapid.Float64Range(1, 50).Draw(t, "w"), rapid.Float64Range(1, 50).Draw(t, "h")
			paths = append(paths, Rect(x, y, x+w, y+h))
			whole += w * h
		}
		cut, err := Arrange(paths)
		if err != nil {
			t.Fatal(err)
		}
		most := 0
		cut.Sets(func(s PathSet) {
			n := 0
			for i := range paths {
				if s.Has(i) {
					n++
				}
			}
			most = max(most, n)
			half := len(paths) / 2
			if got := s.CountFrom(0, half) + s.CountFrom(half, len(paths)); got != n {
				t.Fatalf("%d counted, want %d", got, n)
			}
		})
		sum, slack := 0.0, 0.0
		for n := 1; n <= most; n++ {
			area, err := cut.Area(func(s PathSet) bool { return s.CountFrom(0, len(paths)) == n })
			if err != nil {
				t.Fatal(err)
			}
			sum += float64(n) * area.Area()
			slack += float64(n) * 0.01 // slivers
		}
		if math.Abs(sum-whole) > slack+1e-3*whole {
			t.Fatalf("regions hold %g, paths %g", sum, whole)
		}
	})
}
