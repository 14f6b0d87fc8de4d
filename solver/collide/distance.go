package collide

import "foldwright/solver/geom"

func lowest(a, b geom.Vec3) geom.Vec3 {
	return geom.Vec3{X: min(a.X, b.X), Y: min(a.Y, b.Y), Z: min(a.Z, b.Z)}
}

func highest(a, b geom.Vec3) geom.Vec3 {
	return geom.Vec3{X: max(a.X, b.X), Y: max(a.Y, b.Y), Z: max(a.Z, b.Z)}
}

// boxGap2 is the squared distance between two boxes, which nothing inside them
// can undercut.
func boxGap2(lowA, highA, lowB, highB geom.Vec3) float64 {
	x := max(0, lowA.X-highB.X, lowB.X-highA.X)
	y := max(0, lowA.Y-highB.Y, lowB.Y-highA.Y)
	z := max(0, lowA.Z-highB.Z, lowB.Z-highA.Z)
	return x*x + y*y + z*z
}

// Gap2 is the squared distance in mm² between two faces where that is below best,
// and best where it is not; 0 where they touch or pass through each other. The nearest points of two flat pieces are a corner
// of one and a point inside the other, or on a side of each, unless a side of
// one goes through the inside of the other.
func Gap2(a, b *Face, best float64) float64 {
	if boxGap2(a.low, a.high, b.low, b.high) >= best {
		return best
	}
	if best = cornersToInside(a, b, best); best == 0 {
		return 0
	}
	if best = cornersToInside(b, a, best); best == 0 {
		return 0
	}
	return sidesToSides(a, b, best)
}

// cornersToInside lets the corners and sides of a come near the inside of b.
func cornersToInside(a, b *Face, best float64) float64 {
	o, n := b.frame.Origin, b.frame.Normal()
	first := 0
	for _, ring := range a.rings {
		corners := a.points[first : first+len(ring)]
		first += len(ring)
		last := corners[len(corners)-1]
		lastOff := last.Sub(o).Dot(n)
		for _, p := range corners {
			off := p.Sub(o).Dot(n)
			if off*off < best && b.covers(p) {
				best = off * off
			}
			if (off > 0) != (lastOff > 0) {
				through := last.Add(p.Sub(last).Mul(lastOff / (lastOff - off)))
				if b.covers(through) {
					return 0
				}
			}
			last, lastOff = p, off
		}
	}
	return best
}

// covers tells whether the foot of a point in the plane of the face is inside
// its outline.
func (f *Face) covers(p geom.Vec3) bool {
	d := p.Sub(f.frame.Origin)
	return geom.RingsContain(f.rings, geom.Vec2{X: d.Dot(f.frame.X), Y: d.Dot(f.frame.Y)})
}

func sidesToSides(a, b *Face, best float64) float64 {
	firstA := 0
	for _, ringA := range a.rings {
		cornersA := a.points[firstA : firstA+len(ringA)]
		firstA += len(ringA)
		p := cornersA[len(cornersA)-1]
		for _, q := range cornersA {
			low, high := lowest(p, q), highest(p, q)
			if boxGap2(low, high, b.low, b.high) < best {
				best = sideToSides(p, q, low, high, b, best)
			}
			p = q
		}
	}
	return best
}

func sideToSides(p, q, low, high geom.Vec3, b *Face, best float64) float64 {
	first := 0
	for _, ring := range b.rings {
		corners := b.points[first : first+len(ring)]
		first += len(ring)
		r := corners[len(corners)-1]
		for _, s := range corners {
			if boxGap2(low, high, lowest(r, s), highest(r, s)) < best {
				best = min(best, segmentGap2(p, q, r, s))
			}
			r = s
		}
	}
	return best
}

// segmentGap2 is the squared distance between the segments pq and rs.
// Source: C. Ericson, Real-Time Collision Detection, 5.1.9 (from memory): the
// nearest points of the lines, the first held to its segment, then the second,
// then the first again.
func segmentGap2(p, q, r, s geom.Vec3) float64 {
	d, e, w := q.Sub(p), s.Sub(r), p.Sub(r)
	dd, ee := d.Dot(d), e.Dot(e)
	de, dw, ew := d.Dot(e), d.Dot(w), e.Dot(w)
	t, u := 0.0, 0.0 // along pq and rs
	if square := dd*ee - de*de; square > 0 {
		t = clamp((de*ew - dw*ee) / square)
	}
	if ee > 0 {
		u = clamp((de*t + ew) / ee)
	}
	if dd > 0 {
		t = clamp((de*u - dw) / dd)
	}
	gap := w.Add(d.Mul(t)).Sub(e.Mul(u))
	return gap.Dot(gap)
}

func clamp(t float64) float64 { return min(1, max(0, t)) }
