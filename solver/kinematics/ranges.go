package kinematics

import "math"

// Ranges encloses the coordinates of all joints over an interval of the drivers. It
// is the workspace of RangesInto and can be used again and again.
//
// Each joint's coordinate is a function of one driver, or of the dihedral of the
// fold its mechanism stands on. The ranges are found forward, from host to guest:
// each poser tells, by closed forms, what its coordinates take while the dihedral it
// stands on takes what was found for the host. Where the host's range is exact and
// the coordinate monotone, so is that coordinate's range, but for rounding.
type Ranges struct {
	// Lo and Hi are, by joint, the ends of what its coordinate takes. Angles are
	// continuous over the interval, and may differ from Joint.Coordinate by whole
	// turns.
	Lo, Hi []float64
	// Proved is, by joint, whether nothing lies outside. It is false for the
	// joints of a linkage, which has no closed form, and of what stands on one of
	// its folds; and where a fold's faces go through each other (see sampled).
	Proved []bool
	// Reached is, by mechanism, whether it is reached throughout. The ranges of
	// what is not are meaningless.
	Reached    []bool
	AllReached bool

	a        *Assembly
	lo, hi   []turn // by joint; of hinges the dihedrals themselves
	from, to Drive
	own      int  // first joint that is no fold, of the mechanism at hand
	proved   bool // what that of the mechanism at hand is founded on
	probes   probes
}

// NewRanges makes room for the ranges of an assembly.
func (a *Assembly) NewRanges() *Ranges {
	return &Ranges{
		Lo:      make([]float64, len(a.joints)),
		Hi:      make([]float64, len(a.joints)),
		Proved:  make([]bool, len(a.joints)),
		Reached: make([]bool, len(a.Design.Mechanisms)),
		a:       a,
		lo:      make([]turn, len(a.joints)),
		hi:      make([]turn, len(a.joints)),
		probes:  a.newProbes(),
	}
}

// enclosure tells what came of enclosing the coordinates of a mechanism.
type enclosure uint8

const (
	enclosed enclosure = iota
	locked             // it is not reached somewhere in the interval
	unknown            // there is no closed form
)

// encloser is what a poser tells of an interval.
type encloser interface {
	// enclose fills in the ranges of the mechanism's joints from those of its host.
	enclose(r *Ranges) enclosure
}

// RangesInto encloses every joint's coordinate while the drive goes in a straight
// line from one to the other. It does not allocate.
func (a *Assembly) RangesInto(r *Ranges, from, to Drive) {
	if from.Hand == nil {
		from.Hand = a.rest
	}
	if to.Hand == nil {
		to.Hand = a.rest
	}
	r.from, r.to = from, to
	r.probes.taken = false
	r.AllReached = true
	lo, hi := r.openings()
	r.lo[gutterFold], r.hi[gutterFold] = turn{rest: lo}, turn{rest: hi}
	r.publish(gutterFold, true)
	for i := range a.steps {
		s := &a.steps[i]
		reached := r.reached(s.hosts) && r.step(s)
		r.Reached[s.mechanism] = reached
		r.AllReached = r.AllReached && reached
	}
}

func (r *Ranges) step(s *step) bool {
	r.own, r.proved = s.others.first, true
	switch s.poser.enclose(r) {
	case locked:
		return false
	case unknown:
		r.proved = false
		if !r.sampled(s) {
			return false
		}
	case enclosed:
	}
	for _, joints := range [2]foldRange{s.folds, s.others} {
		for i := joints.first; i < joints.end; i++ {
			r.publish(i, r.proved)
		}
	}
	return true
}

func (r *Ranges) reached(mechanisms []int) bool {
	for _, m := range mechanisms {
		if !r.Reached[m] {
			return false
		}
	}
	return true
}

// openings are the least and the greatest opening.
func (r *Ranges) openings() (lo, hi float64) {
	from, to := float64(r.from.Opening), float64(r.to.Opening)
	return min(from, to), max(from, to)
}

// hand is the least and the greatest value of a driver.
func (r *Ranges) hand(driver int) (lo, hi float64) {
	from, to := r.from.Hand[driver], r.to.Hand[driver]
	return min(from, to), max(from, to)
}

// rangeRounding bounds what rounding leaves in a coordinate, as a fraction of the
// angles it is the sum of: some ten operations of 1e-16, and measurements that
// posers take to match when they do but for 1e-13 (flatRounding).
const rangeRounding = 1e-12

// leastAngle is below what any coordinate is that is not zero: one that withDirection
// has kept from it is not above it by more.
const leastAngle = leastSine * 1e10

// begin empties the range of a joint.
func (r *Ranges) begin(joint int) {
	r.lo[joint], r.hi[joint] = turn{rest: math.Inf(1)}, turn{rest: math.Inf(-1)}
}

// include takes angles into the range of a joint, with what rounding may have left
// out. Quarter turns are exact: what is shut or flat stays so.
func (r *Ranges) include(joint int, a arc) {
	slack := rangeRounding * a.size
	if lo := (turn{a.quarters, zeroBelow(a.lo-slack, leastAngle)}); lo.less(r.lo[joint]) {
		r.lo[joint] = lo
	}
	if hi := (turn{a.quarters, zeroBelow(a.hi+slack, leastAngle)}); r.hi[joint].less(hi) {
		r.hi[joint] = hi
	}
}

// publish tells the range of a joint as its coordinate.
func (r *Ranges) publish(joint int, proved bool) {
	zero := r.a.joints[joint].zeroQuarters()
	lo, below := r.lo[joint].outward(zero)
	hi, above := r.hi[joint].outward(zero)
	r.Lo[joint], r.Hi[joint], r.Proved[joint] = lo-below, hi+above, proved
}
