package geom

import "math"

// Vec2 is a point or direction in the plane.
type Vec2 struct{ X, Y float64 }

func (a Vec2) Add(b Vec2) Vec2      { return Vec2{a.X + b.X, a.Y + b.Y} }
func (a Vec2) Sub(b Vec2) Vec2      { return Vec2{a.X - b.X, a.Y - b.Y} }
func (a Vec2) Mul(s float64) Vec2   { return Vec2{a.X * s, a.Y * s} }
func (a Vec2) Dot(b Vec2) float64   { return a.X*b.X + a.Y*b.Y }
func (a Vec2) Cross(b Vec2) float64 { return a.X*b.Y - a.Y*b.X }
func (a Vec2) Norm() float64        { return math.Sqrt(a.X*a.X + a.Y*a.Y) }

// Perp is a turned a quarter turn anticlockwise.
func (a Vec2) Perp() Vec2 { return Vec2{-a.Y, a.X} }

// Unit is the direction of a; the zero vector stays zero.
func (a Vec2) Unit() Vec2 {
	n := a.Norm()
	if n == 0 {
		return a
	}
	return Vec2{a.X / n, a.Y / n}
}

// Lerp is the point a fraction t of the way from a to b.
func (a Vec2) Lerp(b Vec2, t float64) Vec2 {
	return Vec2{a.X + (b.X-a.X)*t, a.Y + (b.Y-a.Y)*t}
}
