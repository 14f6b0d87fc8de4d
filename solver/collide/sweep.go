package collide

import (
	"math"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// Sweep looks at the whole range of the opening with the hands at rest, and of each
// hand driver with the spread open and the others at rest. In a spread that is half
// open any flap meets the other page when it is lifted far enough, and so is not.
func (b *Bodies) Sweep(o Options) Result {
	if o.Resolution <= 0 {
		o.Resolution = DefaultResolution
	}
	s := newSweeper(b, o)
	opensTo := float64(b.a.Design.Spread.OpensTo)
	s.run(None, 0, openingIntervals(b.smallest(), opensTo))
	for k := range b.a.Drivers {
		d := &b.a.Drivers[k]
		s.run(k, b.a.Design.Spread.OpensTo, handIntervals(d.Min, d.Max))
	}
	return s.finish()
}

// sweeper is a sweep under way.
type sweeper struct {
	*Bodies
	o        Options
	r        Result
	contact  pairs // found in contact, of this driver
	pairs    []pair
	spared   []pair
	met      []meeting
	records  map[pair]*record
	listed   []*record
	carriers carriers
	suspects []int  // joints
	turned   []bool // by joint: found to turn through
	turns    []Contact

	driver      int
	opening     geom.Angle
	resolution  float64
	first, last float64 // of the range
	hands       [2][]float64
	absent      []bool // by mechanism: not reached in the interval
	estimated   []bool // by mechanism
	other       *kinematics.Pose
}

func newSweeper(b *Bodies, o Options) *sweeper {
	s := &sweeper{
		Bodies: b, o: o, other: b.a.NewPose(), contact: newPairs(len(b.bodies)),
		carriers:  carriers{include: make([]bool, len(b.a.Design.Mechanisms))},
		turned:    make([]bool, len(b.joints)),
		absent:    make([]bool, len(b.a.Design.Mechanisms)),
		estimated: make([]bool, len(b.a.Design.Mechanisms)),
	}
	for i := range s.hands {
		s.hands[i] = b.a.Rest()
	}
	return s
}

// drive is the set of driver values at t of the driver that is swept, held in one
// of two rooms.
func (s *sweeper) drive(room int, t float64) kinematics.Drive {
	if s.driver == None {
		return kinematics.Drive{Opening: geom.Angle(t), Hand: s.hands[room]}
	}
	s.hands[room][s.driver] = t
	return kinematics.Drive{Opening: s.opening, Hand: s.hands[room]}
}

func (s *sweeper) poseAt(t float64) {
	s.a.PoseInto(s.pose, s.drive(0, t))
	s.posed++
}

func (s *sweeper) stopped() bool {
	if !s.r.Stopped && s.o.Stop != nil {
		s.r.Stopped = s.o.Stop()
	}
	return s.r.Stopped
}

// found takes note of a contact, or that one is deeper, and tells whether to go on.
func (s *sweeper) found(c *Contact) bool {
	if !s.r.Stopped && s.o.Enough != nil {
		s.r.Stopped = s.o.Enough(c)
	}
	return !s.r.Stopped
}

// doubted takes note of an interval that is not decided.
func (s *sweeper) doubted(u *Undecided) {
	if !s.r.Stopped && s.o.Doubt != nil {
		s.r.Stopped = s.o.Doubt(u)
	}
}

// run sweeps one driver over the given intervals.
func (s *sweeper) run(driver int, opening geom.Angle, at []float64) {
	s.driver, s.opening = driver, opening
	s.first, s.last = at[0], at[len(at)-1]
	s.resolution = s.o.Resolution * (s.last - s.first)
	clear(s.contact.bits)
	clear(s.turned)
	s.records, s.listed, s.turns = map[pair]*record{}, nil, nil
	contacts := len(s.r.Contacts)
	for k := 1; k < len(at) && !s.stopped(); k++ {
		s.enter(at[k-1], at[k], nil)
		s.turnThrough(at[k-1], at[k])
		if len(s.a.Strips) > 0 {
			s.draw(at[k-1], at[k])
		}
		s.box()
		s.pairs = s.pairs[:0]
		for _, p := range s.broad.meet(&s.known) {
			// What the hand does not move is for the sweep of the opening to judge.
			if driver == None || !s.still(s.body(p.i), s.body(p.j)) {
				s.pairs = append(s.pairs, p)
			}
		}
		for _, r := range s.listed {
			r.leaves = 0
		}
		s.look(at[k-1], at[k], 0)
	}
	s.account(len(s.r.Contacts) - contacts)
	s.r.Contacts = append(s.r.Contacts, s.turns...)
	if driver != None {
		s.glide()
		for i := range s.hands {
			copy(s.hands[i], s.a.Rest())
		}
	}
}

// enter takes up an interval for the pairs given: the pose in its middle and how
// much moves.
func (s *sweeper) enter(from, to float64, list []pair) {
	s.a.RangesInto(s.ranges, s.drive(0, from), s.drive(1, to))
	s.poseAt((from + to) / 2)
	s.motion.enter()
	s.findAbsent(from, to)
	for k := range s.joints {
		if m := s.joints[k].Mechanism; m != kinematics.Spread && !s.ranges.Proved[k] && s.ranges.Reached[m] {
			s.estimated[m] = true
		}
	}
	for _, p := range list {
		if s.bodies[p.i].strip != None || s.bodies[p.j].strip != None {
			s.draw(from, to)
			break
		}
	}
}

// findAbsent finds the mechanisms that are not reached in an interval.
func (s *sweeper) findAbsent(from, to float64) {
	for m := range s.absent {
		s.absent[m] = s.pose.Reach[m] != kinematics.Reached
	}
	if s.pose.AllReached {
		return
	}
	n := max(2, math.Ceil((to-from)/(s.last-s.first)*reachLooks))
	for k := 0.0; k <= n; k++ {
		s.a.PoseInto(s.other, s.drive(0, from+(to-from)*k/n))
		for m := range s.absent {
			s.absent[m] = s.absent[m] && s.other.Reach[m] != kinematics.Reached
		}
	}
}

// reachLooks is at how many values of the whole range it is looked whether a mechanism
// is reached, where it is not at one: a part of the range that is shorter than the
// steps between, locked on both sides, would be missed.
const reachLooks = 180

// draw works out how far the strips are drawn within an interval. More is drawn the
// further the driver goes, so the ends tell.
func (s *sweeper) draw(from, to float64) {
	for i := range s.bodies {
		s.bodies[i].slack = 0
	}
	for _, t := range [2]float64{from, to} {
		s.a.PoseInto(s.other, s.drive(0, t))
		for i := range s.bodies {
			if x := &s.bodies[i]; x.strip != None {
				x.slack = max(x.slack, math.Abs(s.other.Strips[x.strip].Travel-s.pose.Strips[x.strip].Travel))
			}
		}
	}
}

// gone tells whether a body is nowhere within the interval, and steady whether it
// is somewhere throughout.
func (s *sweeper) gone(x *body) bool {
	return x.mechanism != kinematics.Spread && s.absent[x.mechanism] || x.Strip != None && !x.here
}

func (s *sweeper) steady(x *body) bool {
	return x.mechanism == kinematics.Spread || s.ranges.Reached[x.mechanism]
}

// root is the panel in whose frame boxes are kept.
const root = 0

// box works out where each body is within the interval, seen from the root.
func (s *sweeper) box() {
	frame := &s.pose.Panels[root]
	for i := range s.bodies {
		x := s.body(i)
		switch s.broad.leave(i); {
		case s.gone(x):
		case !s.steady(x) || !x.here:
			s.broad.fill(i)
		default:
			for k := x.face.hull.first; k < x.face.hull.end; k++ {
				p := frame.Local(x.face.corners[k])
				by, _ := s.strays(x, k, root, geom.Vec3{})
				s.broad.grow(i, geom.Vec3{X: p.Z, Y: p.X, Z: p.Y}, by+s.noise)
			}
		}
	}
}
