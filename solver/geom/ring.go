package geom

// TidyRing leaves out points that repeat the one before, within a tenth of a
// micrometre.
func TidyRing(ring []Vec2) []Vec2 {
	const same = 1e-4 // mm
	out := make([]Vec2, 0, len(ring))
	for _, p := range ring {
		if n := len(out); n == 0 || p.Sub(out[n-1]).Norm() > same {
			out = append(out, p)
		}
	}
	for len(out) > 1 && out[len(out)-1].Sub(out[0]).Norm() <= same {
		out = out[:len(out)-1]
	}
	return out
}

// IsSimple tells whether no two sides of a ring meet but at their common
// corner.
func IsSimple(ring []Vec2) bool {
	n := len(ring)
	if n < 3 {
		return false
	}
	for i := range n {
		a, b := ring[i], ring[(i+1)%n]
		if turning(a, b, ring[(i+2)%n]) == 0 && b.Sub(a).Dot(ring[(i+2)%n].Sub(b)) < 0 {
			return false // doubles back
		}
		for k := i + 2; k < n; k++ {
			if (k+1)%n != i && SegmentDistance(a, b, ring[k], ring[(k+1)%n]) == 0 {
				return false
			}
		}
	}
	return true
}
