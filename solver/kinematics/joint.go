package kinematics

import (
	"math"

	"foldwright/solver/geom"
)

// JointKind tells how two panels can move on each other.
type JointKind uint8

const (
	// Hinged panels share a line, the fold, and turn about it.
	Hinged JointKind = iota
	// Pivoted panels lie in one plane and turn about a point of it.
	Pivoted
	// Sliding panels lie in one plane and move along a direction of it.
	Sliding
	// Glued panels do not move on each other.
	Glued
	// Balled panels share a point and may turn about it in any way.
	Balled
)

// Joint joins two panels that can move on each other in one way only.
//
// Each of the two has it as a Face in its own (u, v): an origin, a direction
// along and one away, at right angles. At the coordinate q the second panel lies
// on the first so that the origins coincide, and, with h the direction along of
// the first, w its direction away and n = h × w,
//
//	Hinged    along = h,                   away = cos(Zero+q)·w + sin(Zero+q)·n
//	Pivoted   along = cos q·h + sin q·w,   away = cos q·w - sin q·h
//	Sliding   along = h, away = w, the origin q further along h, mm
//	Glued     along = h, away = w; q is 0
//	Balled    the origins coincide and nothing else; q bounds how far the
//	          second panel turns on the first, whatever the axis, from where it
//	          is in the middle of an interval
//
// A hinge is a fold: its first face is the left one and Zero+q the dihedral on
// the working side, as Pose.FoldAngle gives it but for whole turns. Zero is 0 or
// π, whichever the dihedral is when the book is shut, so that q has all its
// digits there.
type Joint struct {
	Kind  JointKind
	Faces [2]Face
	// Fold is the hinge's fold; -1 for what is no hinge.
	Fold int
	// Mechanism is the one that makes the joint, or Spread.
	Mechanism int
	Zero      geom.Angle
}

// Joints are all joints of the assembly: every panel hangs on the pages by them,
// and where there are loops in more ways than one. The first are the folds, in
// their order. What slides on its host with an edge only, like the far panel of
// a tent that a strip pulls, has no joint there.
func (a *Assembly) Joints() []Joint { return a.joints }

// Lay is the frame of the joint's second panel when the first is in the given one
// and the coordinate is q. Of a ball the second panel is laid along the first.
func (j *Joint) Lay(first *geom.Frame, q float64) geom.Frame {
	one, two := &j.Faces[0], &j.Faces[1]
	at, h, w := first.At(one.Origin), first.Dir(one.Along), first.Dir(one.Away)
	along, away := h, w
	switch j.Kind {
	case Hinged:
		sin, cos := math.Sincos(float64(j.Zero) + q)
		away = geom.Combine(cos, w, sin, h.Cross(w))
	case Pivoted:
		sin, cos := math.Sincos(q)
		along, away = geom.Combine(cos, h, sin, w), geom.Combine(cos, w, -sin, h)
	case Sliding:
		at = at.Add(h.Mul(q))
	case Glued, Balled:
	}
	x := geom.Combine(two.Along.X, along, two.Away.X, away)
	y := geom.Combine(two.Along.Y, along, two.Away.Y, away)
	return geom.Frame{Origin: at.Sub(geom.Combine(two.Origin.X, x, two.Origin.Y, y)), X: x, Y: y}
}

// Coordinate is the joint's coordinate in the pose, of an angle within half a turn
// of 0. Of a ball it is 0.
func (j *Joint) Coordinate(p *Pose) float64 {
	one, two := &j.Faces[0], &j.Faces[1]
	first, second := &p.Panels[one.Panel], &p.Panels[two.Panel]
	switch j.Kind {
	case Hinged:
		return math.Remainder(float64(p.FoldAngle(j.Fold)-j.Zero), 2*math.Pi)
	case Pivoted:
		along := second.Dir(two.Along)
		return math.Atan2(along.Dot(first.Dir(one.Away)), along.Dot(first.Dir(one.Along)))
	case Sliding:
		return second.At(two.Origin).Sub(first.At(one.Origin)).Dot(first.Dir(one.Along))
	default:
		return 0
	}
}

// joiner is a poser whose panels hang on more than their folds.
type joiner interface {
	otherJoints() []Joint
}

// join gathers the joints of a compiled assembly.
func (c *compiler) join() {
	for i := range c.Folds {
		f := &c.Folds[i]
		c.joints = append(c.joints, Joint{Kind: Hinged, Faces: [2]Face{f.Left, f.Right}, Fold: i, Mechanism: f.Mechanism})
	}
	for i := range c.steps {
		s := &c.steps[i]
		s.others.first = len(c.joints)
		if poser, ok := s.poser.(joiner); ok {
			for _, j := range poser.otherJoints() {
				j.Fold, j.Mechanism = -1, s.mechanism
				c.joints = append(c.joints, j)
			}
		}
		s.others.end = len(c.joints)
	}
	c.zeroJoints()
}

// zeroJoints takes the coordinates of folds that are flat when the book is shut
// from there.
func (c *compiler) zeroJoints() {
	p := c.NewPose()
	c.PoseInto(p, Drive{})
	for i := range c.Folds {
		if p.HasFold(i) && math.Abs(float64(p.FoldAngle(i))-math.Pi) < foldRounding {
			c.joints[i].Zero = math.Pi
		}
	}
}

func (j *Joint) zeroQuarters() int {
	if j.Zero != 0 {
		return 2
	}
	return 0
}

// placed is a joint at a place of a host panel, with the frame of the panel put
// there.
func placed(kind JointKind, host int, place geom.Placement, panel int) []Joint {
	return []Joint{{Kind: kind, Faces: [2]Face{
		{Panel: host, Origin: place.T, Along: place.Dir(geom.Vec2{X: 1}), Away: place.Dir(geom.Vec2{Y: 1})},
		foot(panel),
	}}}
}

func (f *figure) otherJoints() []Joint      { return placed(Glued, f.host, f.place, f.panel) }
func (w *wheel) otherJoints() []Joint       { return placed(Pivoted, w.host, w.place, w.panel) }
func (a *pivotArm) otherJoints() []Joint    { return placed(Pivoted, a.host, a.place, a.panel) }
func (s *pulledSlide) otherJoints() []Joint { return placed(Sliding, s.host, s.place, s.panel) }

func (l *linkage) otherJoints() []Joint {
	var list []Joint
	for _, joints := range [2][]linkJoint{l.tree, l.loops} {
		for i := range joints {
			if j := &joints[i]; j.ball {
				list = append(list, Joint{Kind: Balled, Faces: [2]Face{j.a.ballFace(), j.b.ballFace()}})
			}
		}
	}
	return list
}

func (l *linkLine) ballFace() Face {
	return Face{Panel: l.panel, Origin: l.middle, Along: geom.Vec2{X: 1}, Away: geom.Vec2{Y: 1}}
}
