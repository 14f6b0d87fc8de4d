package geom

import (
	"testing"

	"pgregory.net/rapid"
)

func TestRingsCross(t *testing.T) {
	for _, row := range []struct {
		path  string
		cross bool
		at    Vec2
	}{
		{"M0 0 L30 0 L30 30 L0 -15 Z", true, Vec2{10, 0}}, // a bow tie: the last side meets the first a third along
		{"M0 0 H10 V10 H0 Z", false, Vec2{}},
		{"M0 0 H10 V10 H0 Z M2 2 H8 V8 H2 Z", false, Vec2{}},      // a hole
		{"M0 0 H10 V10 H0 Z M5 2 H15 V8 H5 Z", true, Vec2{10, 2}}, // two rings that overlap
		{"M0 0 H10 V10 H0 Z M10 2 H15 V8 H10 Z", false, Vec2{}},   // two rings that touch
		{"M0 0 A10 10 0 0 1 20 0 Z", false, Vec2{}},
	} {
		at, cross := RingsCross(mustPath(t, row.path).Flatten(0.01))
		if cross != row.cross || at.Sub(row.at).Norm() > 1e-9 {
			t.Errorf("%s: %v at %v, want %v at %v", row.path, cross, at, row.cross, row.at)
		}
	}
}

// The sweep finds a crossing exactly when trying every pair does.
func TestRingsCrossTriesAllThatMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ring := make([]Vec2, rapid.IntRange(3, 9).Draw(t, "corners"))
		for i := range ring {
			ring[i] = Vec2{float64(rapid.IntRange(0, 12).Draw(t, "x")), float64(rapid.IntRange(0, 12).Draw(t, "y"))}
		}
		want := false
		for i := range ring {
			for j := range i {
				_, crosses := properCrossing(ring[i], ring[(i+1)%len(ring)], ring[j], ring[(j+1)%len(ring)])
				want = want || crosses
			}
		}
		if _, got := RingsCross([][]Vec2{ring}); got != want {
			t.Fatalf("%v: %v, want %v", ring, got, want)
		}
	})
}
