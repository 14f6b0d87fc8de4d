package geom

import "math"

// Box2 is an upright rectangle. The empty box has Min above Max; make one with
// EmptyBox, since the zero value is the single point at the origin.
type Box2 struct{ Min, Max Vec2 }

// EmptyBox holds no point.
func EmptyBox() Box2 {
	inf := math.Inf(1)
	return Box2{Vec2{inf, inf}, Vec2{-inf, -inf}}
}

// Empty tells whether the box holds no point.
func (b Box2) Empty() bool { return b.Min.X > b.Max.X || b.Min.Y > b.Max.Y }

// Extend is the smallest box that also holds p.
func (b Box2) Extend(p Vec2) Box2 {
	return Box2{
		Vec2{min(b.Min.X, p.X), min(b.Min.Y, p.Y)},
		Vec2{max(b.Max.X, p.X), max(b.Max.Y, p.Y)},
	}
}

// Union is the smallest box that holds both.
func (b Box2) Union(o Box2) Box2 {
	if b.Empty() {
		return o
	}
	if o.Empty() {
		return b
	}
	return b.Extend(o.Min).Extend(o.Max)
}

// Grow moves every side out by d, or in when d is negative.
func (b Box2) Grow(d float64) Box2 {
	if b.Empty() {
		return b
	}
	return Box2{Vec2{b.Min.X - d, b.Min.Y - d}, Vec2{b.Max.X + d, b.Max.Y + d}}
}

// Size is the width and height; zero when empty.
func (b Box2) Size() Vec2 {
	if b.Empty() {
		return Vec2{}
	}
	return b.Max.Sub(b.Min)
}

// Center is the middle of a box that is not empty.
func (b Box2) Center() Vec2 { return b.Min.Lerp(b.Max, 0.5) }

// Contains tells whether p is in the box or on its edge.
func (b Box2) Contains(p Vec2) bool {
	return p.X >= b.Min.X && p.X <= b.Max.X && p.Y >= b.Min.Y && p.Y <= b.Max.Y
}

// Overlaps tells whether the boxes share a point, edges included.
func (b Box2) Overlaps(o Box2) bool {
	return b.Min.X <= o.Max.X && o.Min.X <= b.Max.X && b.Min.Y <= o.Max.Y && o.Min.Y <= b.Max.Y
}

// Gap is the least distance two points of two boxes can have.
func (b Box2) Gap(o Box2) float64 {
	return Vec2{
		X: max(0, b.Min.X-o.Max.X, o.Min.X-b.Max.X),
		Y: max(0, b.Min.Y-o.Max.Y, o.Min.Y-b.Max.Y),
	}.Norm()
}
