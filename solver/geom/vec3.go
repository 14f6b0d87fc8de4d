package geom

import "math"

// Vec3 is a point or direction in space.
type Vec3 struct{ X, Y, Z float64 }

func (a Vec3) Add(b Vec3) Vec3    { return Vec3{a.X + b.X, a.Y + b.Y, a.Z + b.Z} }
func (a Vec3) Sub(b Vec3) Vec3    { return Vec3{a.X - b.X, a.Y - b.Y, a.Z - b.Z} }
func (a Vec3) Mul(s float64) Vec3 { return Vec3{a.X * s, a.Y * s, a.Z * s} }
func (a Vec3) Neg() Vec3          { return Vec3{-a.X, -a.Y, -a.Z} }
func (a Vec3) Dot(b Vec3) float64 { return a.X*b.X + a.Y*b.Y + a.Z*b.Z }
func (a Vec3) Norm() float64      { return math.Sqrt(a.X*a.X + a.Y*a.Y + a.Z*a.Z) }

// Cross is the right-handed vector product.
func (a Vec3) Cross(b Vec3) Vec3 {
	return Vec3{a.Y*b.Z - a.Z*b.Y, a.Z*b.X - a.X*b.Z, a.X*b.Y - a.Y*b.X}
}

// Unit is the direction of a; the zero vector stays zero.
func (a Vec3) Unit() Vec3 {
	n := a.Norm()
	if n == 0 {
		return a
	}
	return a.Mul(1 / n)
}

// Combine is x·a + y·b.
func Combine(x float64, a Vec3, y float64, b Vec3) Vec3 {
	return Vec3{x*a.X + y*b.X, x*a.Y + y*b.Y, x*a.Z + y*b.Z}
}

// Combine3 is x·a + y·b + z·c.
func Combine3(x float64, a Vec3, y float64, b Vec3, z float64, c Vec3) Vec3 {
	return Vec3{x*a.X + y*b.X + z*c.X, x*a.Y + y*b.Y + z*c.Y, x*a.Z + y*b.Z + z*c.Z}
}

// Lerp is the point a fraction t of the way from a to b.
func (a Vec3) Lerp(b Vec3, t float64) Vec3 { return a.Add(b.Sub(a).Mul(t)) }
