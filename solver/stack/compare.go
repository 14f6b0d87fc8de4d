package stack

import (
	"math"
	"slices"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

const (
	// moveAlike is the difference of rates below which two pieces move alike, as a
	// fraction of the longer side of a page and per radian: far above the error of
	// a rate (1e-11 after eight generations), far below what parts paper.
	moveAlike = 1e-7
	// touching is the mean width of an overlap that is only two edges in one
	// place, a fraction of the longer side of a page: 2 µm on one of 200 mm.
	touching = 1e-5
	// grazing is how far, in mm, a piece may reach past another's plane without
	// having to pass through it: the repeatability of a cutter (common practice).
	grazing = 0.1
	// ajarBy is the opening, in radians, at which pieces that move alike are
	// looked at again: about one degree, enough to part what parts at all, too
	// little to move paper past paper.
	ajarBy = math.Pi / 180
)

// Basis is what an order of two pieces rests on.
type Basis uint8

const (
	ByMotion Basis = iota // one is further right whenever the pages are a little open
	ByMaking              // they move alike, and lie as they are put on
	BySearch              // they move alike, and lie so that nothing passes a crease
	InPlaces              // one is above in some places and below in others
	Trapped               // they have to pass through each other
	Unknown               // they move alike, and no order was found in the time allowed
)

func (b Basis) String() string {
	return [...]string{"motion", "making", "search", "places", "trapped", "unknown"}[b]
}

// Pair is two pieces that overlap, by their numbers. Above is whether Second
// lies above First.
type Pair struct {
	First, Second int
	Above         bool
	Basis         Basis
}

// common is the overlap of two areas, each as convex polygons, without what is
// only edges that touch.
func (s *stack) common(a, b [][]geom.Vec2) [][]geom.Vec2 {
	least := touching * s.size
	var cells [][]geom.Vec2
	for _, p := range a {
		for _, q := range b {
			if cell := s.clipper.clip(p, q); len(cell) > 2 && width(cell) > least {
				cells = append(cells, slices.Clone(cell))
			}
		}
	}
	return cells
}

// maxPairs bounds the overlaps looked at. A crowded spread has a few thousand;
// a hundred thousand take a second or two.
const maxPairs = 100_000

// comparePairs finds the overlaps and what the motion says of them; false when
// there are more than are looked at, or it was told to stop.
func (s *stack) comparePairs() bool {
	for j := range s.pieces {
		for i := range j {
			if !s.pieces[i].box.Overlaps(s.pieces[j].box) {
				continue
			}
			if s.halted() {
				return false
			}
			cells := s.common(s.pieces[i].parts, s.pieces[j].parts)
			if len(cells) == 0 {
				continue
			}
			if len(s.pairs) == maxPairs {
				return false
			}
			s.comparePair(i, j, cells)
		}
	}
	return true
}

func (s *stack) comparePair(i, j int, cells [][]geom.Vec2) {
	p, q := &s.pieces[i], &s.pieces[j]
	pair := Pair{First: i, Second: j}
	move := q.rate.minus(p.rate)
	switch v := s.judge(cells, move); {
	case v.mixed:
		pair.Basis = InPlaces
		if worst := s.judgePlaces(p, q, move); worst.mixed && !passesThrough(p, q, s.a) {
			pair.Basis = Trapped
			s.addTrapped(p, q, worst)
		}
	case v.sign != 0:
		pair.Above = v.sign > 0
	default:
		if p.hasAjar && q.hasAjar {
			if v = s.judge(cells, q.ajar.minus(p.ajar)); v.sign != 0 && !v.mixed {
				pair.Above = v.sign > 0
				break
			}
		}
		pair.Above, pair.Basis = s.asMade(i, j) > 0, ByMaking
		s.free[[2]int{i, j}] = len(s.pairs)
	}
	s.pairs = append(s.pairs, pair)
}

// verdict is what the difference of two tilts says over an overlap.
type verdict struct {
	sign  int  // of the difference, 0 where it vanishes
	mixed bool // both signs, further apart than grazing
	reach float64
	at    geom.Vec2 // the far end of the lesser side
}

// judge looks at the corners of an overlap, where a linear difference is largest
// and smallest.
func (s *stack) judge(cells [][]geom.Vec2, d tilt) verdict {
	low, high := math.Inf(1), math.Inf(-1)
	var lowAt, highAt geom.Vec2
	for _, cell := range cells {
		for _, c := range cell {
			v := d.of(c)
			if v < low {
				low, lowAt = v, c
			}
			if v > high {
				high, highAt = v, c
			}
		}
	}
	tolerance := moveAlike * s.size
	switch {
	case low >= -tolerance && high <= tolerance:
		return verdict{}
	case low >= -tolerance:
		return verdict{sign: 1}
	case high <= tolerance:
		return verdict{sign: -1}
	}
	slope := d.slope()
	left, right := -low/slope, high/slope
	switch {
	case left <= grazing && left <= right:
		return verdict{sign: 1}
	case right <= grazing && right <= left:
		return verdict{sign: -1}
	case left < right:
		return verdict{sign: 1, mixed: true, reach: left, at: lowAt}
	}
	return verdict{sign: -1, mixed: true, reach: right, at: highAt}
}

// judgePlaces looks at each connected place of an overlap alone, and gives the
// worst.
func (s *stack) judgePlaces(p, q *piece, d tilt) verdict {
	both, err := geom.Intersection(pathOf(p.rings), pathOf(q.rings))
	if err != nil {
		return verdict{} // too tangled to tell places apart: nothing is claimed
	}
	worst := verdict{}
	for _, ring := range both.Flatten(OutlineTolerance) {
		if geom.PolygonArea(ring) <= 0 || width(ring) <= touching*s.size {
			continue // holes reach no further than the rings around them
		}
		if v := s.judge([][]geom.Vec2{ring}, d); v.mixed && v.reach > worst.reach {
			worst = v
		}
	}
	return worst
}

// passesThrough tells whether one of two pieces is a strip and the other a panel
// of its mechanism, which has a gap for it.
func passesThrough(p, q *piece, a *kinematics.Assembly) bool {
	return p.Mechanism == q.Mechanism && (p.Sort == Strip) != (q.Sort == Strip)
}

func (s *stack) addTrapped(p, q *piece, v verdict) {
	f := Fault{
		Kind: MustPass, IDs: []string{p.ID, q.ID}, Mechanisms: s.concerned(p, q),
		Grave: true, Amount: v.reach, Point: world(v.at),
	}
	s.faults = append(s.faults, f)
}

// concerned lists the mechanisms of some pieces, each once.
func (s *stack) concerned(pieces ...*piece) []int {
	var list []int
	for _, p := range pieces {
		if p.Mechanism != kinematics.Spread && !slices.Contains(list, p.Mechanism) {
			list = append(list, p.Mechanism)
		}
	}
	return list
}

// above is positive when piece j lies above piece i at a place, and variable is
// the number of the pair whose order decides it, -1 where the motion does.
func (s *stack) above(i, j int, at geom.Vec2) (sign, variable int) {
	if i > j {
		sign, variable = s.above(j, i, at)
		return -sign, variable
	}
	p, q := &s.pieces[i], &s.pieces[j]
	tolerance := moveAlike * s.size
	if d := q.rate.minus(p.rate).of(at); math.Abs(d) > tolerance {
		return signOf(d), -1
	}
	if k, free := s.free[[2]int{i, j}]; free {
		sign = -1
		if s.pairs[k].Above {
			sign = 1
		}
		if s.pieces[j].on == i || s.pieces[i].on == j {
			k = -1
		}
		return sign, k
	}
	if p.hasAjar && q.hasAjar {
		if d := q.ajar.minus(p.ajar).of(at); math.Abs(d) > tolerance {
			return signOf(d), -1
		}
	}
	return s.asMade(i, j), -1
}

func signOf(v float64) int {
	if v < 0 {
		return -1
	}
	return 1
}
