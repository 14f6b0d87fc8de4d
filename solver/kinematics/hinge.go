package kinematics

import "foldwright/solver/geom"

// Hinge is the state of a fold in the world: its frame and half its dihedral
// angle on the working side.
type Hinge struct {
	Origin  geom.Vec3
	S, H, N geom.Vec3
	Cos     float64 // of half the dihedral, negative beyond 180 degrees
	Sin     float64 // of half the dihedral, never negative
}

// sameDirection is the length of the difference of two unit vectors below which
// its direction is rounding noise (1e-16) and may not decide a sign. At this
// length the noise is a hundred-millionth of it.
const sameDirection = 1e-7

// makeHinge builds the state of the fold along h whose faces run away along
// left and right, all unit vectors, the latter two across h.
//
// The sum of the face directions fixes the frame of a fold that is nearly shut,
// their difference that of one that is nearly flat; each is used where it is
// long, so no digits are lost. Faces that coincide count as shut, not as folded
// all the way round.
func makeHinge(origin, h, left, right geom.Vec3) Hinge {
	sum, diff := left.Add(right), right.Sub(left)
	sumLen, diffLen := sum.Norm(), diff.Norm()
	if sumLen < diffLen {
		s := diff.Mul(1 / diffLen)
		n := s.Cross(h)
		return Hinge{Origin: origin, S: s, H: h, N: n, Cos: sum.Dot(n) / 2, Sin: diffLen / 2}
	}
	sign := 1.0
	if diffLen > sameDirection && left.Cross(right).Dot(h) < 0 {
		sign = -1
	}
	n := sum.Mul(sign / sumLen)
	return Hinge{Origin: origin, S: h.Cross(n), H: h, N: n, Cos: sign * sumLen / 2, Sin: diffLen / 2}
}

// world takes a direction of the hinge's frame, components along s, h and n, to
// the world.
func (f *Hinge) world(d geom.Vec3) geom.Vec3 {
	return geom.Combine3(d.X, f.S, d.Y, f.H, d.Z, f.N)
}

// view is a side of a fold seen from a state stored for another side of it.
type view uint8

const (
	asStored    view = iota
	acrossLeft       // between the right face and what continues the left face
	acrossRight      // between the left face and what continues the right face
	over             // round the back: the faces change sides
)

// seen is the state of the fold from the given side. With left = -S·s + C·n and
// right = S·s + C·n, the dihedral from the right face to the continuation of
// the left one is π - ψ, bisected by s; the one round the back is 2π - ψ. It is
// put in g.
func (f *Hinge) seen(v view, g *Hinge) *Hinge {
	g.Origin, g.H = f.Origin, f.H
	switch v {
	case asStored:
		g.N, g.S, g.Cos, g.Sin = f.N, f.S, f.Cos, f.Sin
	case acrossLeft:
		g.N, g.S, g.Cos, g.Sin = f.S, f.N.Neg(), f.Sin, f.acrossSin()
	case acrossRight:
		g.N, g.S, g.Cos, g.Sin = f.S.Neg(), f.N, f.Sin, f.acrossSin()
	case over:
		g.N, g.S, g.Cos, g.Sin = f.N.Neg(), f.S.Neg(), -f.Cos, f.Sin
	}
	return g
}

// acrossSin is the sine of half the dihedral on the side across a face. A fold
// that is flat but for rounding is shut from there, not folded through.
func (f *Hinge) acrossSin() float64 {
	if f.Cos < 0 && f.Cos > -sameDirection {
		return 0
	}
	return f.Cos
}
