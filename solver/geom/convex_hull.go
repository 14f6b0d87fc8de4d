package geom

import "slices"

// ConvexHull is the hull of the points, anticlockwise (Andrew's monotone chain,
// 1979).
func ConvexHull(points []Vec2) []Vec2 {
	points = slices.Clone(points)
	slices.SortFunc(points, func(a, b Vec2) int {
		switch {
		case a.X < b.X || a.X == b.X && a.Y < b.Y:
			return -1
		case a == b:
			return 0
		}
		return 1
	})
	hull := make([]Vec2, 0, 2*len(points))
	extend := func(p Vec2, floor int) {
		for len(hull) >= floor+2 && hull[len(hull)-1].Sub(hull[len(hull)-2]).Cross(p.Sub(hull[len(hull)-2])) <= 0 {
			hull = hull[:len(hull)-1]
		}
		hull = append(hull, p)
	}
	for _, p := range points {
		extend(p, 0)
	}
	floor := len(hull) - 1
	for i := len(points) - 2; i >= 0; i-- {
		extend(points[i], floor)
	}
	return hull[:max(len(hull)-1, 1)]
}
