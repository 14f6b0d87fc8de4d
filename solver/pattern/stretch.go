package pattern

import (
	"cmp"
	"slices"

	"foldwright/solver/geom"
)

// outside is the stretches of a line outside a polygon and off its edge.
func outside(ring []geom.Vec2, at, along geom.Vec2, from, to float64) [][2]float64 {
	stops := []float64{from, to}
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		a, b := along.Cross(p.Sub(at)), along.Cross(q.Sub(at))
		var stop geom.Vec2
		switch {
		case abs(a) < weldTolerance:
			stop = p
		case (a < 0) != (b < 0):
			stop = p.Lerp(q, a/(a-b))
		default:
			continue
		}
		if u := along.Dot(stop.Sub(at)); u > from && u < to {
			stops = append(stops, u)
		}
	}
	slices.SortFunc(stops, cmp.Compare[float64])
	var out [][2]float64
	for i := 0; i+1 < len(stops); i++ {
		a, b := stops[i], stops[i+1]
		middle := at.Add(along.Mul((a + b) / 2))
		if b-a < weldTolerance || geom.PolygonContains(ring, middle) || geom.PolygonDistance(ring, middle) < weldTolerance {
			continue
		}
		if n := len(out); n > 0 && out[n-1][1] == a {
			out[n-1][1] = b
		} else {
			out = append(out, [2]float64{a, b})
		}
	}
	return out
}

// longestInside is the longest stretch of a line within a polygon; to < from
// when there is none.
func longestInside(ring []geom.Vec2, at, along geom.Vec2, from, to float64) (a, b float64) {
	a, b = from, from-1
	start := from
	for _, gap := range append(outside(ring, at, along, from, to), [2]float64{to, to}) {
		if gap[0]-start > b-a {
			a, b = start, gap[0]
		}
		start = gap[1]
	}
	return a, b
}
