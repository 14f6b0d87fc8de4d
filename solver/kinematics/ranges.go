package kinematics

import (
	"math"

	"foldwright/solver/geom"
)

// Ranges encloses the coordinates of all joints over an interval of the drivers.
// It is the workspace of RangesInto and can be used again and again.
type Ranges struct {
	// Lo and Hi are, by joint, the ends of what its coordinate takes; angles are
	// continuous over the interval but may be off by whole turns.
	Lo, Hi []float64
	// Proved is, by joint, whether no value can lie outside. It is false where
	// there is no closed form to tell.
	Proved []bool
	// Reached is, by mechanism, whether it is reached throughout the interval.
	// The joints of what is not are meaningless.
	Reached    []bool
	AllReached bool

	a     *Assembly
	poses [sampled]*Pose
	rate  *Rate
	hands [sampled][]float64
}

// NewRanges makes room for the ranges of an assembly.
func (a *Assembly) NewRanges() *Ranges {
	r := &Ranges{
		Lo:      make([]float64, len(a.joints)),
		Hi:      make([]float64, len(a.joints)),
		Proved:  make([]bool, len(a.joints)),
		Reached: make([]bool, len(a.Design.Mechanisms)),
		a:       a,
		rate:    a.NewRate(),
	}
	for i := range r.poses {
		r.poses[i], r.hands[i] = a.NewPose(), make([]float64, len(a.Drivers))
	}
	return r
}

// sampled is at how many places an interval is looked at where there is no closed
// form: its ends and the middle.
const sampled = 3

// RangesInto encloses every joint's coordinate while the drive goes in a straight
// line from one to the other. It does not allocate.
func (a *Assembly) RangesInto(r *Ranges, from, to Drive) {
	r.sample(from, to)
	r.AllReached = true
	for m := range r.Reached {
		r.Reached[m] = true
		for _, p := range r.poses {
			r.Reached[m] = r.Reached[m] && p.Reach[m] == Reached
		}
		r.AllReached = r.AllReached && r.Reached[m]
	}
	for i := range a.joints {
		r.hull(i)
	}
}

func (r *Ranges) sample(from, to Drive) {
	if from.Hand == nil {
		from.Hand = r.a.rest
	}
	if to.Hand == nil {
		to.Hand = r.a.rest
	}
	for k, p := range r.poses {
		t := float64(k) / (sampled - 1)
		hand := r.hands[k]
		for i := range hand {
			hand[i] = from.Hand[i] + t*(to.Hand[i]-from.Hand[i])
		}
		r.a.PoseInto(p, Drive{Opening: from.Opening + geom.Angle(t)*(to.Opening-from.Opening), Hand: hand})
	}
}

// hull encloses what the joint's coordinate is at the samples, and half as much
// again as it changes.
func (r *Ranges) hull(joint int) {
	j := &r.a.joints[joint]
	last := j.Coordinate(r.poses[0])
	lo, hi := last, last
	for _, p := range r.poses[1:] {
		q := j.Coordinate(p)
		if j.Kind == Hinged || j.Kind == Pivoted {
			q = last + math.Remainder(q-last, 2*math.Pi)
		}
		lo, hi, last = min(lo, q), max(hi, q), q
	}
	more := (hi - lo) / 2
	r.Lo[joint], r.Hi[joint], r.Proved[joint] = lo-more, hi+more, false
}
