package collide

import (
	"cmp"
	"math"
	"slices"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// Options of a sweep.
type Options struct {
	// Resolution is the part of a driver's range below which it is not divided
	// further: DefaultResolution when it is 0.
	Resolution float64
	// Stop is asked now and then; once it says so the sweep ends. Nil never does.
	Stop func() bool
}

// DefaultResolution is 0.005 degrees of 180: in so short a time a point 300 mm from
// its axis moves by a tenth of a thin sheet.
const DefaultResolution = 0.005 / 180

// Contact is a pair of pieces that pass through each other.
type Contact struct {
	Pieces [2]Piece
	// Driver is the hand driver that brings them together, or None for the
	// opening. Values of it are mm or radians; the opening is held at Opening
	// while the hand moves.
	Driver  int
	Opening geom.Angle
	// From and To are where it first is so and how long it lasts, the first time.
	From, To float64
	Point    geom.Vec3 // in the world, at From
	Depth    float64   // the greatest in that time, mm
	Deepest  float64   // value at which it is
}

// Undecided is an interval in which it is not known whether two pieces pass
// through each other. They do not where it was looked at.
type Undecided struct {
	Pieces   [2]Piece
	Driver   int
	Opening  geom.Angle
	From, To float64
}

// Result is what a sweep has found, by driver and pieces.
type Result struct {
	Contacts  []Contact
	Undecided []Undecided
	// Estimated are the mechanisms the proof of whose motion is an estimate.
	Estimated []int
	// Pairs are those of pieces that can meet, over all drivers, and Proved those
	// of them that are proved not to. AtEnds are those of the proved that touch at
	// the very end of the range, where they move by less than a sheet is thick
	// and were looked at instead.
	Pairs, Proved, AtEnds int
	// Stopped is whether the sweep ended early.
	Stopped bool
}

// Sweep looks at the whole range of the opening with the hands at rest, and of
// each hand driver with the spread open.
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

// smallest is the opening at which the pages, at their fore edges, are no further
// apart than a sheet is thick. What moves in between has no room to pass through
// anything; whether its layers are in order is for the shut stack to tell.
func (b *Bodies) smallest() float64 {
	s := &b.a.Design.Spread
	return 2 * math.Asin(min(b.a.Design.Paper.Caliper/(2*s.PageWidth), 0.5))
}

const (
	// growth is how much wider each interval is than the one nearer to shut: as
	// all distances are in proportion to the opening there, so may the motion
	// be. The same holds for what is flush when the spread is flat.
	growth = 1.5
	// endParts is into how many parts what is left of the range is divided at
	// least.
	endParts = 64
	// handSteps is how many intervals the range of a hand driver is begun with.
	handSteps = 16
)

// openingIntervals divides the opening, fine towards its ends.
func openingIntervals(smallest, opensTo float64) []float64 {
	var out []float64
	for t := smallest; t < opensTo/2; t *= growth {
		out = append(out, t)
	}
	n := len(out)
	for k := range out {
		if t := opensTo - out[n-1-k]; t > out[len(out)-1] {
			out = append(out, t)
		}
	}
	return append(out, opensTo)
}

func handIntervals(from, to float64) []float64 {
	out := make([]float64, handSteps+1)
	for i := range out {
		out[i] = from + (to-from)*float64(i)/handSteps
	}
	return out
}

// sweeper is a sweep under way.
type sweeper struct {
	*Bodies
	o       Options
	r       Result
	contact pairs // found in contact, of this driver
	pairs   []pair
	spared  []pair
	met     []meeting
	records map[pair]*record
	listed  []*record

	driver      int
	opening     geom.Angle
	resolution  float64
	first, last float64 // of the range
	hands       [2][]float64
	absent      []bool       // by mechanism: not reached in the interval
	estimated   []bool       // by mechanism
	drawn       [3][]float64 // by strip, at the ends and in the middle of the interval
}

// record is a pair that was not proved everywhere.
type record struct {
	pair
	spans  []Undecided
	leaves int
	atEnd  bool
}

// patience is how many of the shortest intervals a pair may leave undecided of each
// of those a sweep begins with, before the rest is no longer divided. What touches
// there has none.
const patience = 16

func newSweeper(b *Bodies, o Options) *sweeper {
	s := &sweeper{
		Bodies: b, o: o, contact: newPairs(len(b.bodies)),
		absent:    make([]bool, len(b.a.Design.Mechanisms)),
		estimated: make([]bool, len(b.a.Design.Mechanisms)),
	}
	for i := range s.hands {
		s.hands[i] = b.a.Rest()
	}
	for i := range s.drawn {
		s.drawn[i] = make([]float64, len(b.a.Strips))
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
}

func (s *sweeper) stopped() bool {
	if !s.r.Stopped && s.o.Stop != nil {
		s.r.Stopped = s.o.Stop()
	}
	return s.r.Stopped
}

// run sweeps one driver over the given intervals.
func (s *sweeper) run(driver int, opening geom.Angle, at []float64) {
	s.driver, s.opening = driver, opening
	s.first, s.last = at[0], at[len(at)-1]
	s.resolution = s.o.Resolution * (s.last - s.first)
	clear(s.contact.bits)
	s.records, s.listed = map[pair]*record{}, nil
	contacts := len(s.r.Contacts)
	for k := 1; k < len(at) && !s.stopped(); k++ {
		s.enter(at[k-1], at[k])
		s.box()
		s.pairs = s.pairs[:0]
		for _, p := range s.broad.meet(&s.known) {
			// What the hand does not move is for the sweep of the opening to judge.
			if driver == None || !s.still(&s.bodies[p.i], &s.bodies[p.j]) {
				s.pairs = append(s.pairs, p)
			}
		}
		for _, r := range s.listed {
			r.leaves = 0
		}
		s.look(at[k-1], at[k], 0)
	}
	for i := contacts; i < len(s.r.Contacts) && !s.stopped(); i++ {
		s.follow(&s.r.Contacts[i])
	}
	s.account(len(s.r.Contacts) - contacts)
	if driver != None {
		for i := range s.hands {
			copy(s.hands[i], s.a.Rest())
		}
	}
}

// enter takes up an interval: the pose in its middle and how much moves.
func (s *sweeper) enter(from, to float64) {
	s.a.RangesInto(s.ranges, s.drive(0, from), s.drive(1, to))
	s.draw(from, to)
	s.poseAt((from + to) / 2)
	s.place(s.pose)
	s.take(s.pose, s.ranges)
	for m := range s.absent {
		s.absent[m] = s.pose.Reach[m] != kinematics.Reached
	}
	if !s.pose.AllReached {
		for _, t := range [2]float64{from, to} {
			s.poseAt(t)
			for m := range s.absent {
				s.absent[m] = s.absent[m] && s.pose.Reach[m] != kinematics.Reached
			}
		}
	}
	for k := range s.joints {
		if m := s.joints[k].Mechanism; m != kinematics.Spread && !s.ranges.Proved[k] && s.ranges.Reached[m] {
			s.estimated[m] = true
		}
	}
}

// draw works out how far the strips are drawn within an interval. More is drawn the
// further the driver goes, so the ends tell.
func (s *sweeper) draw(from, to float64) {
	if len(s.a.Strips) == 0 {
		return
	}
	at := [3]float64{from, (from + to) / 2, to}
	for k, t := range at {
		s.poseAt(t)
		for i := range s.drawn[k] {
			s.drawn[k][i] = s.pose.Strips[i].Travel
		}
	}
	for i := range s.bodies {
		if x := &s.bodies[i]; x.strip != None {
			begin, middle, end := s.drawn[0][x.strip], s.drawn[1][x.strip], s.drawn[2][x.strip]
			x.slack = max(math.Abs(end-middle), math.Abs(middle-begin))
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
		x := &s.bodies[i]
		switch s.broad.leave(i); {
		case s.gone(x):
		case !s.steady(x) || !x.here:
			s.broad.fill(i)
		default:
			for k := x.face.hull.first; k < x.face.hull.end; k++ {
				p := frame.Local(x.face.corners[k])
				s.broad.grow(i, geom.Vec3{X: p.Z, Y: p.X, Z: p.Y}, s.strays(x, k, root)+s.noise)
			}
		}
	}
}

// look judges the pairs from number first on in the interval that was entered, and
// those that are not clear in its halves, the earlier first.
func (s *sweeper) look(from, to float64, first int) {
	kept := len(s.pairs)
	for k := first; k < kept; k++ {
		p := s.pairs[k]
		x, y := &s.bodies[p.i], &s.bodies[p.j]
		if s.contact.has(p.i, p.j) || s.gone(x) || s.gone(y) {
			continue
		}
		if x.here && y.here && s.steady(x) && s.steady(y) && s.clear(x, y) {
			continue
		}
		s.pairs = append(s.pairs, p)
	}
	if len(s.pairs) > kept && !s.stopped() {
		s.divide(from, to, kept)
	}
	s.pairs = s.pairs[:first]
}

// divide looks more closely at the pairs from number first on.
func (s *sweeper) divide(from, to float64, first int) {
	if to-from <= s.least(from, to) {
		s.judge(s.pairs[first:], from, to)
		return
	}
	s.spare(from, to, first)
	if len(s.pairs) == first {
		return
	}
	middle := (from + to) / 2
	s.enter(from, middle)
	s.half(from, middle, first)
	s.enter(middle, to)
	s.half(middle, to, first)
}

// least is how wide an interval must be to be divided: the resolution, but less
// towards the ends of the range, where what touches at the very end comes closer in
// proportion to what is left.
func (s *sweeper) least(from, to float64) float64 {
	begin := s.first
	if s.driver == None {
		begin = 0
	}
	if from == begin || to == s.last {
		return s.resolution
	}
	return min(s.resolution, min(from-begin, s.last-to)/endParts)
}

// half looks at a half of an interval, leaving the list of pairs as it is.
func (s *sweeper) half(from, to float64, first int) {
	n := len(s.pairs)
	s.pairs = append(s.pairs, s.pairs[first:]...)
	s.look(from, to, n)
}

// spare takes those pairs out of the list that have worn out patience.
func (s *sweeper) spare(from, to float64, first int) {
	kept := s.pairs[:first]
	s.spared = s.spared[:0]
	for _, p := range s.pairs[first:] {
		if r := s.records[p]; r != nil && r.leaves >= patience {
			s.spared = append(s.spared, p)
		} else {
			kept = append(kept, p)
		}
	}
	s.pairs = kept
	if len(s.spared) > 0 {
		s.judge(s.spared, from, to)
	}
}

// hardlyMoves tells whether two bodies move on each other by less than a sheet is
// thick.
func (s *sweeper) hardlyMoves(p pair) bool {
	x, y := &s.bodies[p.i], &s.bodies[p.j]
	if !s.steady(x) || !s.steady(y) || !x.here || !y.here {
		return false
	}
	for _, z := range [2]*body{x, y} {
		for k := z.face.hull.first; k < z.face.hull.end; k++ {
			if s.strays(z, k, x.frame()) > s.a.Design.Paper.Caliper/2 {
				return false
			}
		}
	}
	return true
}

// crosses tells whether two bodies pass through each other at one value.
func (s *sweeper) crosses(p pair, t float64) (Crossing, bool) {
	s.poseAt(t)
	x, y := &s.bodies[p.i], &s.bodies[p.j]
	s.placeBody(x, s.pose)
	s.placeBody(y, s.pose)
	if !x.here || !y.here {
		return Crossing{}, false
	}
	return Cross(x.face, y.face)
}

// looks is at how many values an interval is looked at that is not divided
// further, its ends among them.
const looks = 5

// judge decides what can be said of pairs in an interval that is not divided
// further.
func (s *sweeper) judge(list []pair, from, to float64) {
	s.met = s.met[:0]
	for k := range looks {
		t := from + (to-from)*float64(k)/(looks-1)
		s.poseAt(t)
		s.place(s.pose)
		for _, p := range list {
			x, y := &s.bodies[p.i], &s.bodies[p.j]
			if s.contact.has(p.i, p.j) || !x.here || !y.here {
				continue
			}
			if _, ok := Cross(x.face, y.face); ok {
				s.contact.add(p.i, p.j)
				s.met = append(s.met, meeting{p, t})
			}
		}
	}
	s.enter(from, to)
	for _, p := range list {
		if !s.contact.has(p.i, p.j) {
			s.leave(p, from, to)
		}
	}
	for _, m := range s.met {
		s.meet(m.pair, from, m.at)
	}
}

// meeting is a pair found in contact at a value.
type meeting struct {
	pair
	at float64
}

// leave notes a pair that was neither proved nor found in contact in an interval.
func (s *sweeper) leave(p pair, from, to float64) {
	x, y := &s.bodies[p.i], &s.bodies[p.j]
	if !s.steady(x) || !s.steady(y) {
		return // it ends here for a lock, which is found elsewhere
	}
	r := s.records[p]
	if r == nil {
		r = &record{pair: p}
		s.records[p] = r
		s.listed = append(s.listed, r)
	}
	if (to == s.last || from == s.first) && s.hardlyMoves(p) {
		r.atEnd = true
		return
	}
	r.leaves++
	if Gap2(x.face, y.face, math.Inf(1)) <= s.noise*s.noise {
		r.leaves = patience
	}
	if n := len(r.spans); n > 0 && r.spans[n-1].To == from {
		r.spans[n-1].To = to
		return
	}
	r.spans = append(r.spans, Undecided{[2]Piece{x.Piece, y.Piece}, s.driver, s.opening, from, to})
}

// meet notes a contact that begins after clear, where known, and no later than at
// t.
func (s *sweeper) meet(p pair, clear, t float64) {
	if _, ok := s.crosses(p, clear); ok {
		t = clear
	}
	for range 12 {
		middle := (clear + t) / 2
		if _, ok := s.crosses(p, middle); ok {
			t = middle
		} else {
			clear = middle
		}
	}
	c, _ := s.crosses(p, t)
	s.r.Contacts = append(s.r.Contacts, Contact{
		Pieces: [2]Piece{s.bodies[p.i].Piece, s.bodies[p.j].Piece}, Driver: s.driver, Opening: s.opening,
		From: t, To: t, Point: c.At, Depth: c.Depth, Deepest: t,
	})
}

// account adds up what became of the pairs of one driver.
func (s *sweeper) account(contacts int) {
	n := len(s.bodies)
	all := n * (n - 1) / 2
	for i := range n {
		for j := range i {
			if s.known.has(i, j) {
				all--
			}
		}
	}
	open := contacts
	for _, r := range s.listed {
		switch {
		case s.contact.has(r.i, r.j):
		case len(r.spans) > 0:
			open++
			s.r.Undecided = append(s.r.Undecided, r.spans...)
		case r.atEnd:
			s.r.AtEnds++
		}
	}
	s.r.Pairs += all
	s.r.Proved += all - open
}

func (s *sweeper) finish() Result {
	for m, estimated := range s.estimated {
		if estimated {
			s.r.Estimated = append(s.r.Estimated, m)
		}
	}
	slices.SortStableFunc(s.r.Contacts, func(a, b Contact) int {
		return cmp.Or(cmp.Compare(a.Driver, b.Driver), comparePieces(a.Pieces, b.Pieces))
	})
	slices.SortStableFunc(s.r.Undecided, func(a, b Undecided) int {
		return cmp.Or(cmp.Compare(a.Driver, b.Driver), comparePieces(a.Pieces, b.Pieces), cmp.Compare(a.From, b.From))
	})
	return s.r
}

func comparePieces(a, b [2]Piece) int {
	for k := range a {
		if c := cmp.Or(cmp.Compare(a[k].Panel, b[k].Panel), cmp.Compare(a[k].Strip, b[k].Strip)); c != 0 {
			return c
		}
	}
	return 0
}
