package collide

import (
	"cmp"
	"slices"

	"foldwright/solver/geom"
)

// Options of a sweep.
type Options struct {
	// Resolution is the part of a driver's range below which it is not divided
	// further: DefaultResolution when it is 0.
	Resolution float64
	// Stop is asked now and then; once it says so the sweep ends. Nil never does.
	Stop func() bool
	// Enough is asked of every contact, as it is found and wherever it is found to
	// be deeper; once it says so the sweep is stopped. Nil never does.
	Enough func(c *Contact) bool
	// Doubt is the same of every interval in which a pair is not proved to clear.
	Doubt func(u *Undecided) bool
}

// DefaultResolution is 0.005 degrees of 180: in so short a time a point 300 mm from
// its axis moves by a tenth of a thin sheet.
const DefaultResolution = 0.005 / 180

// Contact is a pair of pieces that pass through each other.
type Contact struct {
	Pieces [2]Piece
	// Fold is the fold about which they turn through each other, their dihedral
	// below 0 or beyond a full turn; None for pieces that run into each other. The
	// depth is then how far the smaller of them reaches past the other's plane.
	Fold int
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
	// Stopped is whether the sweep ended early; nothing counts as proved then.
	Stopped bool
}

func (s *sweeper) finish() Result {
	if s.r.Stopped {
		s.r.Proved, s.r.AtEnds = 0, 0
	}
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
