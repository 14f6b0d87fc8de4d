package collide

import (
	"math"

	"foldwright/solver/geom"
)

// Rounding is what a depth or a height may be by rounding alone, as a fraction
// of the coordinates: a chain of eight generations is good to 1e-11, a linkage
// solved numerically to 1e-9. It is a fifth of a micrometre on a page of 200 mm.
const Rounding = 1e-9

// Crossing is where two faces pass through each other.
type Crossing struct {
	// Depth is the least distance, in mm, by which one face would have to be
	// moved without turning to come clear of the other; of faces that are not
	// convex the greatest such depth of two convex parts.
	Depth float64
	At    geom.Vec3 // in the middle of the segment they have in common
}

// span is a piece of the line in which the planes of two faces meet that has
// paper of one of them on both its sides.
type span struct {
	from, to float64
	up, down float64 // how far the paper reaches from the plane of the other
	part     int     // or seamed
}

// seamed spans lie along a side of two parts, one on each side of the plane.
const seamed = -1

// Cross tells whether two faces pass through each other, and where. Faces in one
// plane do not.
func Cross(a, b *Face) (Crossing, bool) {
	if boxGap2(a.low, a.high, b.low, b.high) > 0 {
		return Crossing{}, false
	}
	noise := Rounding * max(a.extent(), b.extent())
	if !a.straddles(b, noise) || !b.straddles(a, noise) {
		return Crossing{}, false
	}
	along := a.normal.Cross(b.normal)
	norm := along.Norm()
	if norm == 0 {
		return Crossing{}, false
	}
	line := along.Mul(1 / norm)
	a.cut(line, noise)
	b.cut(line, noise)
	var best Crossing
	for i := range a.spans {
		for j := range b.spans {
			s, t := &a.spans[i], &b.spans[j]
			from, to := max(s.from, t.from), min(s.to, t.to)
			if to-from <= noise {
				continue
			}
			depth := min(s.up, s.down, t.up, t.down)
			if depth <= max(noise, best.Depth) {
				continue
			}
			if s.part == seamed || t.part == seamed {
				depth = min(depth, to-from)
			} else {
				depth = overlap(a.part(s.part), b.part(t.part), a.normal, b.normal, depth)
			}
			if depth > max(noise, best.Depth) {
				best = Crossing{depth, lineAt(a, b, line, norm, (from+to)/2)}
			}
		}
	}
	return best, best.Depth > 0
}

func (f *Face) part(i int) []geom.Vec3 { return f.corners[f.parts[i].first:f.parts[i].end] }

// straddles works out the heights of the face over the plane of another, and
// tells whether it has paper on both sides.
func (f *Face) straddles(other *Face, noise float64) bool {
	o, n := other.frame.Origin, other.normal
	low, high := 0.0, 0.0
	for i, c := range f.corners {
		h := c.Sub(o).Dot(n)
		f.heights[i] = h
		low, high = min(low, h), max(high, h)
	}
	return low < -noise && high > noise
}

// cut finds the spans of the face on the line where its heights are zero.
func (f *Face) cut(line geom.Vec3, noise float64) {
	f.spans = f.spans[:0]
	for i, p := range f.parts {
		if s, ok := f.cutPart(p, line, noise); ok {
			s.part = i
			f.spans = append(f.spans, s)
		}
	}
	if len(f.parts) > 1 {
		f.cutSeams(line, noise)
	}
}

func (f *Face) cutPart(p part, line geom.Vec3, noise float64) (span, bool) {
	s := span{from: math.Inf(1), to: math.Inf(-1)}
	before := p.end - 1
	for i := p.first; i < p.end; i++ {
		h, g := f.heights[i], f.heights[before]
		s.up, s.down = max(s.up, h), max(s.down, -h)
		if (h > 0) != (g > 0) {
			t := f.corners[before].Lerp(f.corners[i], g/(g-h)).Dot(line)
			s.from, s.to = min(s.from, t), max(s.to, t)
		}
		before = i
	}
	return s, s.up > noise && s.down > noise
}

// cutSeams finds where parts meet along the line from either side.
func (f *Face) cutSeams(line geom.Vec3, noise float64) {
	for i := range f.parts {
		above, ok := f.rests(i, 1, line, noise)
		if !ok {
			continue
		}
		for j := range f.parts {
			below, ok := f.rests(j, -1, line, noise)
			if s := (span{
				from: max(above.from, below.from), to: min(above.to, below.to),
				up: above.up, down: below.down, part: seamed,
			}); ok && s.to-s.from > noise {
				f.spans = append(f.spans, s)
			}
		}
	}
}

// rests finds the side of a part that lies on the line, the part being wholly on
// one side of the plane, which sign gives.
func (f *Face) rests(i int, sign float64, line geom.Vec3, noise float64) (span, bool) {
	p := f.parts[i]
	s := span{from: math.Inf(1), to: math.Inf(-1)}
	before := p.end - 1
	for k := p.first; k < p.end; k++ {
		h := sign * f.heights[k]
		if h < -noise {
			return span{}, false
		}
		s.up, s.down = max(s.up, h), max(s.down, h)
		if h <= noise && math.Abs(f.heights[before]) <= noise {
			t, u := f.corners[k].Dot(line), f.corners[before].Dot(line)
			s.from, s.to = min(s.from, t, u), max(s.to, t, u)
		}
		before = k
	}
	return s, s.to > s.from && s.up > noise
}

// lineAt is the point of both planes that lies at t along the unit line, given the
// sine of the angle between the planes.
//
// Source: with unit normals n, m at heights d, e and k = n·m, the foot of the
// origin is ((d - e·k)·n + (e - d·k)·m)/(1 - k²), from p·n = d and p·m = e.
func lineAt(a, b *Face, line geom.Vec3, sine, t float64) geom.Vec3 {
	n, m := a.normal, b.normal
	o := a.frame.Origin // measured from here, the heights are small
	e := b.frame.Origin.Sub(o).Dot(m)
	k := n.Dot(m)
	foot := geom.Combine(-e*k/(sine*sine), n, e/(sine*sine), m)
	return o.Add(foot).Add(line.Mul(t - o.Dot(line)))
}
