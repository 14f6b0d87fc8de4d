// Package kinematics works out where every panel of a design is.
//
// A design is compiled once into an Assembly, whose panels and folds have fixed
// places in lists. PoseInto then fills in the frame of every panel for one set
// of driver values, without allocating.
//
// # Frames
//
// The world has the gutter as its y axis with the origin at its foot, x towards
// the right page and z towards the viewer. Names carry their frame: p_W is a
// point in the world, g_F a direction in the frame of the host fold.
//
// The frame F of a fold has its origin at the fold's start, h along the fold, n
// along the bisector of its two faces on the working side, and s = h × n
// towards the right face. With half the dihedral angle ψ/2 = (cos C, sin S) the
// faces run away from the fold along
//
//	left  = -S·s + C·n
//	right = +S·s + C·n
//
// so a fold that is shut (S = 0) is no special case. The gutter's frame is the
// world, with h = y, n = z and s = x.
//
// RateInto gives the derivative of a pose by the opening, a hand driver or a
// measurement of the design, and ConditioningInto how far each mechanism is
// from a lock. Joints lists what holds the panels together, and RangesInto encloses
// how far each joint moves over an interval of the drivers, which bounds how far any
// two panels do.
package kinematics
