package kinematics

import (
	"math"
	"sort"

	"foldwright/solver/design"
)

// linkagePath is the way of a linkage over the openings it reaches: nodes at
// which its loops are closed, between which its state is interpolated.
type linkagePath struct {
	openings []float64 // of the nodes, ascending, rad
	states   []float64 // of the nodes, one after another
	numbers  int       // in a state
	start    float64   // the opening the way starts from
	from, to float64   // the openings reached
	// Why the way ends where it does.
	below, above pathEnd
	// Whether the way could not be extrapolated to its ends with confidence.
	looseBelow, looseAbove bool

	closures int // ways to close that were found at the start
}

type pathEnd uint8

const (
	// unended: there is no way.
	unended pathEnd = iota
	// endOfOpening: the spread opens or shuts no further.
	endOfOpening
	// endOfHost: what the linkage hangs on is not reached beyond.
	endOfHost
	// endOfLoops: the loops cannot close beyond; the linkage locks.
	endOfLoops
)

const (
	// windowNodes is how many nodes a state is interpolated from. At a spacing
	// of 0.04 rad the interpolation is good to 0.04⁶/200, about 2e-11 times the
	// sixth derivative.
	windowNodes = 6
	// pathSlack, in radians, is how far past the last opening reached a pose
	// is still tried: the rounding of an opening worked out from degrees.
	pathSlack = 1e-12

	firstStep = 2e-3 // rad; there is no way to extrapolate from yet
	longStep  = 0.04 // rad
	// shortStep is the opening, in radians, to which a lock is found: a
	// thousandth of what the checks resolve.
	shortStep = 1e-8
	// endShare is the part of what is left to the end that a step may take, so
	// that nodes gather where the equations lose their hold.
	endShare = 1.0 / 3
	// endZone is how near to the end, in radians, the way may be extrapolated.
	endZone = 0.05
	// lastStep is how near to the end, in radians, the last node may be. There
	// the equations hold the unknowns by a millionth only, and rounding (1e-14)
	// is magnified to 1e-8. A lock ten times as far from the end is taken for
	// its noise.
	lastStep = 1e-6
	// endAgreement is how well, in radians, extrapolations to the end from six
	// and from five nodes must agree, the first being far better; and endNoise,
	// in rad², how much less well the nearer the nodes are, as rounding is
	// magnified.
	endAgreement = 1e-10
	endNoise     = 1e-13
	// maxMiss is how far, in radians, the solution may be from where the way
	// was expected to lead. Where two ways cross they are further apart than
	// this but for a thousandth of a radian, which a step seldom meets.
	maxMiss = 1e-3
	// firstMiss is the same for the first steps, which have little to go by.
	firstMiss = 0.05
	// maxNodes bounds the work on a way; the spacing met is fifty to three
	// hundred.
	maxNodes = 2000
)

func (s *linkagePath) holds(t float64) bool {
	return len(s.openings) > 0 && t >= s.from-pathSlack && t <= s.to+pathSlack
}

// beyond is how far an opening beyond the nodes, where the state is
// extrapolated, is from the end of the way, and a little more; 0 within the
// nodes.
func (s *linkagePath) beyond(t float64) float64 {
	switch {
	case t < s.openings[0]:
		return max(t-s.from, 0) + pathSlack
	case t > s.openings[len(s.openings)-1]:
		return max(s.to-t, 0) + pathSlack
	}
	return 0
}

// guess interpolates the state at opening t.
func (s *linkagePath) guess(state []float64, t float64) {
	n := len(s.openings)
	switch {
	case s.looseBelow && t < s.openings[0]:
		s.straight(state, t, 0, min(2, n-1))
		return
	case s.looseAbove && t > s.openings[n-1]:
		s.straight(state, t, n-1, max(0, n-3))
		return
	}
	next := sort.SearchFloat64s(s.openings, t)
	first := max(0, min(next-windowNodes/2, n-windowNodes))
	last := min(n, first+windowNodes)
	interpolate(state, s.openings[first:last], s.states[first*s.numbers:], t)
}

// straight extrapolates in a straight line through two nodes, which magnifies
// their rounding least.
func (s *linkagePath) straight(state []float64, t float64, near, far int) {
	share := 0.0
	if near != far {
		share = (t - s.openings[near]) / (s.openings[far] - s.openings[near])
	}
	for i := range state {
		a, b := s.states[near*s.numbers+i], s.states[far*s.numbers+i]
		state[i] = a + share*(b-a)
	}
}

// interpolate evaluates at t the polynomial through the states at the given
// openings (Lagrange's form).
func interpolate(state []float64, openings, states []float64, t float64) {
	for i := range state {
		state[i] = 0
	}
	for i, a := range openings {
		weight := 1.0
		for j, b := range openings {
			if j != i {
				weight *= (t - b) / (a - b)
			}
		}
		addScaled(state, weight, states[i*len(state):(i+1)*len(state)])
	}
}

// follower works out the way of one linkage, with the mechanisms it hangs on
// posed at rest.
type follower struct {
	*linkage
	hosts *Assembly // the part of the assembly the linkage hangs on
	p     *Pose
	w     linkWork

	openings []float64 // of the nodes in the order walked
	states   []float64
	moved    []float64 // by unknown
	guess    []float64
	other    []float64
}

func newFollower(c *compiler, l *linkage) *follower {
	part := *c.Assembly
	part.steps = nil
	needed := make([]bool, len(c.Design.Mechanisms))
	var need func(i int)
	need = func(i int) {
		if !needed[i] {
			needed[i] = true
			for _, host := range c.Design.HostsOf(i) {
				need(host)
			}
		}
	}
	for _, host := range c.Design.HostsOf(l.mechanism) {
		need(host)
	}
	for _, s := range c.steps {
		if needed[s.mechanism] {
			part.steps = append(part.steps, s)
		}
	}
	for _, d := range c.Drivers {
		l.driven = l.driven || needed[d.Mechanism]
	}
	return &follower{
		linkage: l, hosts: &part, p: part.NewPose(), w: l.newWork(),
		moved: make([]float64, l.unknowns),
		guess: make([]float64, l.numbers), other: make([]float64, l.numbers),
	}
}

// poseHosts poses what the linkage hangs on.
func (f *follower) poseHosts(t float64) bool {
	f.hosts.PoseInto(f.p, Drive{Opening: openingOf(t)})
	return f.p.AllReached
}

// findPath finds where the linkage can start from and follows it to both ends.
func findPath(c *compiler, l *linkage, start *design.LinkageStart) linkagePath {
	f := newFollower(c, l)
	opensTo := float64(c.Design.OpensTo())
	best := linkagePath{}
	for _, t := range startOpenings(start, opensTo) {
		if !f.poseHosts(t) {
			continue
		}
		found := f.closures(start)
		for _, closure := range found[:min(len(found), maxFollowed)] {
			path := f.follow(t, closure, opensTo)
			path.closures = len(found)
			if best.openings == nil || path.to-path.from > best.to-best.from+widerRange {
				best = path
			}
			chosen := start != nil && len(start.Angles) > 0
			if whole := best.below != endOfLoops && best.above != endOfLoops; chosen || whole {
				break
			}
		}
		if len(found) > 0 {
			break
		}
	}
	return best
}

// follow walks from a closure down to shut and up to the widest opening.
func (f *follower) follow(t float64, closure []float64, opensTo float64) linkagePath {
	f.openings = append(f.openings[:0], t)
	f.states = append(f.states[:0], closure...)
	path := linkagePath{start: t, numbers: f.numbers}
	path.from, path.below, path.looseBelow = f.walk(0)
	f.turnRound()
	path.to, path.above, path.looseAbove = f.walk(opensTo)
	path.openings = append([]float64(nil), f.openings...)
	path.states = append([]float64(nil), f.states...)
	return path
}

// turnRound reverses the nodes, so that the walk goes on from the other end.
func (f *follower) turnRound() {
	for i, j := 0, len(f.openings)-1; i < j; i, j = i+1, j-1 {
		f.openings[i], f.openings[j] = f.openings[j], f.openings[i]
		a, b := f.states[i*f.numbers:(i+1)*f.numbers], f.states[j*f.numbers:(j+1)*f.numbers]
		for k := range a {
			a[k], b[k] = b[k], a[k]
		}
	}
}

// walk adds nodes towards the end as far as the linkage goes. It gives the last
// opening reached, why it is the last, and whether the way from the last node
// to it is not known well.
func (f *follower) walk(end float64) (last float64, why pathEnd, loose bool) {
	step := firstStep
	why = endOfLoops
	for len(f.openings) < maxNodes {
		front := f.openings[len(f.openings)-1]
		gap := math.Abs(end - front)
		if gap < endZone && f.leadsTo(end, gap) {
			return end, endOfOpening, false
		}
		if gap < lastStep || gap < 10*lastStep && step < gap/100 {
			return end, endOfOpening, true
		}
		if gap >= 10*lastStep && step < shortStep*endShare {
			return front, why, false
		}
		step = min(step, gap*endShare)
		next := front + math.Copysign(step, end-front)
		miss, stopped := f.advance(next)
		if stopped != unended {
			why = stopped
			step /= 3
			continue
		}
		f.openings = append(f.openings, next)
		f.states = append(f.states, f.w.state...)
		// Aim at an extrapolation good to 1e-7; interpolation between the same
		// nodes is a hundred times better.
		switch {
		case miss < 1e-9:
			step = min(step*1.6, longStep)
		case miss < 1e-7:
			step = min(step*1.2, longStep)
		case miss > 1e-5:
			step *= 0.6
		}
	}
	return f.openings[len(f.openings)-1], why, false
}

// ahead extrapolates the way to an opening from the last nodes.
func (f *follower) ahead(state []float64, t float64, nodes int) {
	first := max(0, len(f.openings)-nodes)
	interpolate(state, f.openings[first:], f.states[first*f.numbers:], t)
	f.normalize(state)
}

// advance closes the loops at the next opening. It reports how far that was
// from where the way led, or why there is no closure.
func (f *follower) advance(t float64) (miss float64, why pathEnd) {
	if !f.poseHosts(t) {
		return 0, endOfHost
	}
	f.ahead(f.guess, t, windowNodes-1)
	copy(f.w.state, f.guess)
	if !f.converge(f.p, &f.w, poseIterations) || !f.keepStill() {
		return 0, endOfLoops
	}
	miss = f.apart(f.guess, f.w.state)
	if miss > firstMiss || miss > maxMiss && len(f.openings) >= windowNodes {
		return miss, endOfLoops
	}
	return miss, unended
}

// keepStill undoes what of the last step lies along what the loops leave free.
// Nothing holds the way there, and extrapolating it would let it drift.
func (f *follower) keepStill() bool {
	front := f.states[len(f.states)-f.numbers:]
	f.derive(f.p, &f.w)
	f.between(f.w.step, front, f.w.state)
	copy(f.moved, f.w.step)
	if !f.w.qr.withoutNull(f.w.slopes, f.w.step) {
		return true
	}
	for i := range f.w.step {
		f.w.step[i] -= f.moved[i]
	}
	f.move(&f.w, 1)
	return f.converge(f.p, &f.w, poseIterations)
}

// leadsTo tells whether the way can be extrapolated from its last nodes to the
// end: the loops close all along, and one node less leads to the same place.
func (f *follower) leadsTo(end, gap float64) bool {
	if len(f.openings) < windowNodes {
		return false
	}
	front := f.openings[len(f.openings)-1]
	for _, share := range [...]float64{0.5, 0.25, 0.0625, 0} {
		t := end + share*(front-end)
		if !f.poseHosts(t) {
			return false
		}
		f.ahead(f.w.state, t, windowNodes)
		f.place(f.p, &f.w)
		if f.residual(f.p, &f.w) > endResidual*f.size/4 || !f.agree(f.p) {
			return false
		}
	}
	f.ahead(f.other, end, windowNodes-1)
	return f.apart(f.other, f.w.state) <= endAgreement+endNoise/gap
}
