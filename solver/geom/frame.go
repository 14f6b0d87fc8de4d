package geom

// Frame is a rigid frame in space: an origin and two orthonormal axes, given in
// the world. A panel's frame has X along u and Y along v.
type Frame struct {
	Origin Vec3
	X, Y   Vec3
}

// At is the world position of the point p of the frame's plane.
func (f *Frame) At(p Vec2) Vec3 {
	return Vec3{
		f.Origin.X + p.X*f.X.X + p.Y*f.Y.X,
		f.Origin.Y + p.X*f.X.Y + p.Y*f.Y.Y,
		f.Origin.Z + p.X*f.X.Z + p.Y*f.Y.Z,
	}
}

// Dir is the world direction of the in-plane direction d.
func (f *Frame) Dir(d Vec2) Vec3 { return Combine(d.X, f.X, d.Y, f.Y) }

// Normal is X × Y.
func (f *Frame) Normal() Vec3 { return f.X.Cross(f.Y) }

// Local is the position of a world point in the frame, Z along the normal.
func (f *Frame) Local(p Vec3) Vec3 {
	d := p.Sub(f.Origin)
	return Vec3{d.Dot(f.X), d.Dot(f.Y), d.Dot(f.Normal())}
}

// Placed is the frame that m carries f's origin and axes to, within f's plane.
func (f *Frame) Placed(m Placement) Frame {
	return Frame{Origin: f.At(m.T), X: f.Dir(m.Dir(Vec2{1, 0})), Y: f.Dir(m.Dir(Vec2{0, 1}))}
}
