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

// Nearest is the least distance found so far, squared, in mm², and the two points
// that are so near. Start it with what counts as far away.
type Nearest struct {
	Gap2 float64
	P, Q geom.Vec3
}

func (n *Nearest) take(gap2 float64, p, q geom.Vec3) {
	if gap2 < n.Gap2 {
		*n = Nearest{gap2, p, q}
	}
}

// Gap2 is the squared distance in mm² between two faces where that is below best,
// and best where it is not; 0 where they touch or pass through each other.
func Gap2(a, b *Face, best float64) float64 {
	n := Nearest{Gap2: best}
	n.Between(a, b)
	return n.Gap2
}

// Between looks for nearer points, P on a and Q on b. The nearest points of two
// flat pieces are a corner of one and a point inside the other, or on a side of
// each, unless a side of one goes through the inside of the other. It tells
// whether there are any.
func (n *Nearest) Between(a, b *Face) bool {
	before := n.Gap2
	if boxGap2(a.low, a.high, b.low, b.high) >= before {
		return false
	}
	n.cornersToInside(a, b, false)
	if n.Gap2 > 0 {
		n.cornersToInside(b, a, true)
	}
	if n.Gap2 > 0 {
		n.sidesToSides(a, b)
	}
	return n.Gap2 < before
}

// cornersToInside lets the corners and sides of a come near the inside of b.
// swapped tells that the points go to the other side.
func (n *Nearest) cornersToInside(a, b *Face, swapped bool) {
	take := func(gap2 float64, p, q geom.Vec3) {
		if swapped {
			p, q = q, p
		}
		n.take(gap2, p, q)
	}
	o, normal := b.frame.Origin, b.frame.Normal()
	first := 0
	for _, ring := range a.rings {
		corners := a.points[first : first+len(ring)]
		first += len(ring)
		last := corners[len(corners)-1]
		lastOff := last.Sub(o).Dot(normal)
		for _, p := range corners {
			off := p.Sub(o).Dot(normal)
			if off*off < n.Gap2 && b.covers(p) {
				take(off*off, p, p.Sub(normal.Mul(off)))
			}
			if (off > 0) != (lastOff > 0) {
				through := last.Add(p.Sub(last).Mul(lastOff / (lastOff - off)))
				if b.covers(through) {
					take(0, through, through)
					return
				}
			}
			last, lastOff = p, off
		}
	}
}

// covers tells whether the foot of a point in the plane of the face is inside
// its outline.
func (f *Face) covers(p geom.Vec3) bool {
	d := p.Sub(f.frame.Origin)
	return geom.RingsContain(f.rings, geom.Vec2{X: d.Dot(f.frame.X), Y: d.Dot(f.frame.Y)})
}

func (n *Nearest) sidesToSides(a, b *Face) {
	firstA := 0
	for _, ringA := range a.rings {
		cornersA := a.points[firstA : firstA+len(ringA)]
		firstA += len(ringA)
		p := cornersA[len(cornersA)-1]
		for _, q := range cornersA {
			low, high := lowest(p, q), highest(p, q)
			if boxGap2(low, high, b.low, b.high) < n.Gap2 {
				n.sideToSides(p, q, low, high, b)
			}
			p = q
		}
	}
}

func (n *Nearest) sideToSides(p, q, low, high geom.Vec3, b *Face) {
	first := 0
	for _, ring := range b.rings {
		corners := b.points[first : first+len(ring)]
		first += len(ring)
		r := corners[len(corners)-1]
		for _, s := range corners {
			if boxGap2(low, high, lowest(r, s), highest(r, s)) < n.Gap2 {
				n.take(segmentGap2(p, q, r, s))
			}
			r = s
		}
	}
}

// segmentGap2 is the squared distance between the segments pq and rs, and their
// nearest points.
// Source: C. Ericson, Real-Time Collision Detection, 5.1.9 (from memory): the
// nearest points of the lines, the first held to its segment, then the second,
// then the first again.
func segmentGap2(p, q, r, s geom.Vec3) (gap2 float64, onPQ, onRS geom.Vec3) {
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
	onPQ, onRS = p.Add(d.Mul(t)), r.Add(e.Mul(u))
	gap := w.Add(d.Mul(t)).Sub(e.Mul(u))
	return gap.Dot(gap), onPQ, onRS
}

func clamp(t float64) float64 { return min(1, max(0, t)) }
