package kinematics

import "foldwright/solver/geom"

// Drive is one set of driver values. The opening of the book is one driver;
// mechanisms worked by hand will add theirs.
type Drive struct {
	Opening geom.Angle // dihedral between the pages: 0 shut, π open flat
}

// gutter is the state of the gutter, whose frame is the world.
func (d Drive) gutter() Hinge {
	sin, cos := (d.Opening / 2).Sincos()
	return Hinge{
		S: geom.Vec3{X: 1}, H: geom.Vec3{Y: 1}, N: geom.Vec3{Z: 1},
		Cos: cos, Sin: sin,
	}
}
