package model

import (
	"math"

	"foldwright/solver/geom"
)

// quaternion is a rotation, w last as glTF has it.
type quaternion struct{ x, y, z, w float64 }

// turnOf is the rotation that takes the axes to those of a frame, after the
// method of Shepperd (1978), which divides by the largest component.
func turnOf(f *geom.Frame) quaternion {
	x, y, z := f.X, f.Y, f.Normal()
	var q quaternion
	switch trace := x.X + y.Y + z.Z; {
	case trace >= x.X && trace >= y.Y && trace >= z.Z:
		q = quaternion{y.Z - z.Y, z.X - x.Z, x.Y - y.X, 1 + trace}
	case x.X >= y.Y && x.X >= z.Z:
		q = quaternion{1 + x.X - y.Y - z.Z, x.Y + y.X, z.X + x.Z, y.Z - z.Y}
	case y.Y >= z.Z:
		q = quaternion{x.Y + y.X, 1 - x.X + y.Y - z.Z, y.Z + z.Y, z.X - x.Z}
	default:
		q = quaternion{z.X + x.Z, y.Z + z.Y, 1 - x.X - y.Y + z.Z, x.Y - y.X}
	}
	return q.scaled(1 / math.Sqrt(q.dot(q)))
}

func (q quaternion) dot(r quaternion) float64 { return q.x*r.x + q.y*r.y + q.z*r.z + q.w*r.w }

func (q quaternion) scaled(k float64) quaternion {
	return quaternion{q.x * k, q.y * k, q.z * k, q.w * k}
}

func (q quaternion) negated() quaternion { return q.scaled(-1) }

func (q quaternion) rotate(v geom.Vec3) geom.Vec3 {
	u := geom.Vec3{X: q.x, Y: q.y, Z: q.z}
	t := u.Cross(v).Mul(2)
	return v.Add(t.Mul(q.w)).Add(u.Cross(t))
}

// closeTurns is the cosine above which two rotations are mixed in a straight
// line: the arc and its chord then differ by less than 1e-9.
const closeTurns = 1 - 1e-6

// toward is the rotation a fraction t of the shorter way to another, as players
// of animations interpolate (Shoemake, 1985).
func (q quaternion) toward(r quaternion, t float64) quaternion {
	cos := q.dot(r)
	if cos < 0 {
		r, cos = r.negated(), -cos
	}
	a, b := 1-t, t
	if cos < closeTurns {
		angle := math.Acos(cos)
		sin := math.Sqrt(1 - cos*cos)
		a, b = math.Sin(a*angle)/sin, math.Sin(b*angle)/sin
	}
	m := quaternion{q.x*a + r.x*b, q.y*a + r.y*b, q.z*a + r.z*b, q.w*a + r.w*b}
	return m.scaled(1 / math.Sqrt(m.dot(m)))
}

// raised takes a rotation from the axes of the design to those of glTF. Only
// what it does to the world is to change, not to the frame of the panel: the
// rotation (x, y, z) → (x, z, -y), a quarter turn about x backwards, follows.
func (q quaternion) raised() quaternion {
	s := math.Sqrt2 / 2
	// (-s, 0, 0, s) times q
	return quaternion{s*q.x - s*q.w, s*q.y + s*q.z, s*q.z - s*q.y, s*q.w + s*q.x}
}

// raised takes a place to the axes and metres of glTF.
func raised(p geom.Vec3) vec3 {
	return vec3{float32(p.X * metre), float32(p.Z * metre), float32(-p.Y * metre)}
}
