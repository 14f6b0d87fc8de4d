package geom

// Frame is a rigid frame in space: an origin and three orthonormal axes, all
// given in the world. A panel's frame has X along u, Y along v and Z = X × Y.
type Frame struct {
	Origin  Vec3
	X, Y, Z Vec3
}

// World is the identity frame.
var World = Frame{X: Vec3{1, 0, 0}, Y: Vec3{0, 1, 0}, Z: Vec3{0, 0, 1}}

// At is the world position of the point (u, v) of the frame's XY plane.
func (f *Frame) At(p Vec2) Vec3 {
	return Vec3{
		f.Origin.X + p.X*f.X.X + p.Y*f.Y.X,
		f.Origin.Y + p.X*f.X.Y + p.Y*f.Y.Y,
		f.Origin.Z + p.X*f.X.Z + p.Y*f.Y.Z,
	}
}

// Dir is the world direction of the in-plane direction (u, v).
func (f *Frame) Dir(d Vec2) Vec3 { return Combine(d.X, f.X, d.Y, f.Y) }

// Local is the position of a world point in the frame.
func (f *Frame) Local(p Vec3) Vec3 {
	d := p.Sub(f.Origin)
	return Vec3{d.Dot(f.X), d.Dot(f.Y), d.Dot(f.Z)}
}
