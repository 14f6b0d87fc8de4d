package collide

import (
	"math"

	"foldwright/solver/geom"
)

// Face is a flat piece in space: what its rings enclose by the even-odd rule,
// and where it is. It holds the room measurements need, so it serves one at a
// time.
type Face struct {
	rings [][]geom.Vec2
	frame geom.Frame
	// points are the corners of the rings in space, ring after ring; low and
	// high the box around them.
	points    []geom.Vec3
	low, high geom.Vec3

	normal geom.Vec3
	// parts are convex and cover the face, and hull is around them all; flat are
	// their corners, in the plane of the face, and corners the same in space.
	parts   []part
	hull    part
	flat    []geom.Vec2
	corners []geom.Vec3
	heights []float64 // of corners over the plane of another face
	spans   []span
}

// part is a convex part of a face: its corners from first up to, not including,
// end.
type part struct{ first, end int }

// NewFace makes a face of rings in (u, v) of its frame, outlines anticlockwise
// and holes clockwise. It is nowhere until it is moved.
func NewFace(rings [][]geom.Vec2) *Face {
	f := &Face{}
	count := 0
	for _, ring := range rings {
		if len(ring) > 0 {
			f.rings = append(f.rings, ring)
			count += len(ring)
		}
	}
	f.points = make([]geom.Vec3, 0, count)
	for _, p := range geom.ConvexParts(f.rings) {
		f.parts = append(f.parts, part{len(f.flat), len(f.flat) + len(p)})
		f.flat = append(f.flat, p...)
	}
	f.hull = part{0, len(f.flat)}
	if len(f.parts) > 1 {
		f.hull.first = len(f.flat)
		f.flat = append(f.flat, geom.ConvexHull(f.flat)...)
		f.hull.end = len(f.flat)
	}
	f.corners = make([]geom.Vec3, len(f.flat))
	f.heights = make([]float64, len(f.flat))
	f.spans = make([]span, 0, 2*len(f.parts))
	return f
}

// MoveTo puts the face where the frame is.
func (f *Face) MoveTo(frame geom.Frame) {
	f.frame, f.normal = frame, frame.Normal()
	f.points = f.points[:0]
	inf := math.Inf(1)
	f.low, f.high = geom.Vec3{X: inf, Y: inf, Z: inf}, geom.Vec3{X: -inf, Y: -inf, Z: -inf}
	for _, ring := range f.rings {
		for _, v := range ring {
			p := frame.At(v)
			f.points = append(f.points, p)
			f.low, f.high = lowest(f.low, p), highest(f.high, p)
		}
	}
	for i, v := range f.flat {
		f.corners[i] = frame.At(v)
	}
}

// extent is the greatest coordinate of the face, which its rounding is in
// proportion to.
func (f *Face) extent() float64 {
	return max(-f.low.X, -f.low.Y, -f.low.Z, f.high.X, f.high.Y, f.high.Z)
}

// stretch makes a rectangle from the origin as long as asked for.
func (f *Face) stretch(length float64) {
	for _, corners := range [2][]geom.Vec2{f.rings[0], f.flat} {
		for i := range corners {
			if corners[i].X > 0 {
				corners[i].X = length
			}
		}
	}
}
