package draw

import (
	"math"
	"slices"

	"foldwright/solver/geom"
)

const (
	// hatchSpacing between lines, mm: clear at true size, and light enough to
	// leave a tab's label readable.
	hatchSpacing = 2.0
	// hatchFlatness is the chord error of a hatched outline, mm; a line that
	// ends this far from it looks joined.
	hatchFlatness = 0.05
	// hatchShortest leaves out crumbs in corners, mm.
	hatchShortest = 0.3

	sqrtHalf = 1 / math.Sqrt2
)

// hatch fills an area, by the even-odd rule, with lines at 45 degrees. The
// lines lie on a fixed raster of the drawing, so neighbours line up.
func hatch(p geom.Path) geom.Path {
	rings := p.Flatten(hatchFlatness)
	// Turned so that hatch lines are level: v counts lines, u runs along them.
	low, high := math.Inf(1), math.Inf(-1)
	for _, ring := range rings {
		for i, q := range ring {
			ring[i] = geom.Vec2{X: (q.X + q.Y) * sqrtHalf, Y: (q.Y - q.X) * sqrtHalf}
			low, high = min(low, ring[i].Y), max(high, ring[i].Y)
		}
	}
	var out geom.Path
	for k := math.Ceil(low / hatchSpacing); k*hatchSpacing <= high; k++ {
		v := k * hatchSpacing
		var at []float64
		for _, ring := range rings {
			for i, a := range ring {
				b := ring[(i+1)%len(ring)]
				if (a.Y > v) != (b.Y > v) {
					at = append(at, a.X+(b.X-a.X)*(v-a.Y)/(b.Y-a.Y))
				}
			}
		}
		slices.Sort(at)
		for i := 0; i+1 < len(at); i += 2 {
			if at[i+1]-at[i] < hatchShortest {
				continue
			}
			line := []geom.Vec2{
				{X: (at[i] - v) * sqrtHalf, Y: (at[i] + v) * sqrtHalf},
				{X: (at[i+1] - v) * sqrtHalf, Y: (at[i+1] + v) * sqrtHalf},
			}
			out = append(out, geom.PolylinePath(line, false)...)
		}
	}
	return out
}
