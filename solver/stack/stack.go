package stack

import (
	"errors"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/pattern"
)

// Options are how the shut page is judged.
type Options struct {
	// Map is whether the thickness of the whole page is wanted, not only where it
	// is thickest.
	Map bool
	// OrderOnly leaves out the thickness.
	OrderOnly bool
	// Stop is asked now and then whether to give up; nil never does.
	Stop func() bool
}

// ErrStopped is the error of a judgement that was given up.
var ErrStopped = errors.New("stack: stopped")

// Result is what is known of the shut page.
type Result struct {
	Pieces []Piece
	// Pairs are every two pieces that overlap. Complete is whether all were
	// looked at; there can be too many.
	Pairs    []Pair
	Complete bool
	// Sequence is one order of all pieces, from the left page to the right, that
	// agrees with every pair; nil where there is none, as when pieces lie above
	// one another in turn in different places, which is no fault.
	Sequence []int
	Thickest Spot
	// Between is how thick what lies between the pages is there, mm.
	Between float64
	// Map is the page by how much lies there, the thickest first; nil unless
	// asked for. Exact is whether the thickness follows the outlines, or was found
	// along lines across the page.
	Map   []Region
	Exact bool
	// Faults are what cannot lie so.
	Faults []Fault
	// LeftOut are the mechanisms that do not lie flat or are not reached when
	// shut, and are not judged.
	LeftOut []int
}

// FaultKind is what is wrong with a stack.
type FaultKind uint8

const (
	// MustPass: two pieces would have to pass through each other. The amount is
	// how far the lesser side reaches past where they cross.
	MustPass FaultKind = iota
	// ThroughCrease: a piece lies between two layers of one paper where these are
	// joined, or two such pairs lie crosswise.
	ThroughCrease
	// GluedTwice: two mechanisms are glued to one place. Area is that place's.
	GluedTwice
	// NotDecided: no order was found in the time allowed.
	NotDecided
)

// Fault is one thing that cannot lie as it is.
type Fault struct {
	Kind       FaultKind
	IDs        []string // of the pieces, or of the joints glued in one place
	Mechanisms []int    // those concerned, each once
	Panel      string   // that is glued to twice
	Grave      bool     // it does not work; else it may
	Amount     float64  // mm
	Area       float64  // mm²
	Point      geom.Vec3
}

// stack is a shut page being judged.
type stack struct {
	a       *kinematics.Assembly
	pattern *pattern.Pattern
	o       Options
	size    float64 // of the model, mm
	order   []int   // by mechanism: its place in the order of making

	shut, ajar *kinematics.Pose
	rate       *kinematics.Rate
	flat       []bool // by mechanism: it lies flat when shut

	pieces  []piece
	pieceOf []int            // by panel; -1 for none
	tabs    map[string][]int // pieces, by joint
	glue    []glued
	chains  [][]int
	clipper clipper

	pairs      []Pair
	free       map[[2]int]int // pairs that move alike, by their pieces
	creases    []crease
	conditions []condition
	broken     bool // the order of making breaks one of them
	complete   bool
	faults     []Fault

	stopped bool
}

// Judge works out how the shut page lies. p is the pattern of the assembly. The
// error is ErrStopped.
func Judge(a *kinematics.Assembly, p *pattern.Pattern, o Options) (*Result, error) {
	return newStack(a, p, o).judgeAll()
}

func (s *stack) judgeAll() (*Result, error) {
	for _, step := range []func(){s.addPanels, s.layPanels, s.addStrips, s.addGlue, s.findGluedTwice} {
		if step(); s.halted() {
			return nil, ErrStopped
		}
	}
	s.chains = make([][]int, len(s.pieces))
	if s.complete = s.comparePairs(); s.complete {
		s.findCreases()
		s.holdCreases()
		s.searchOrder()
	} else {
		s.faults = append(s.faults, Fault{Kind: NotDecided})
	}
	r := &Result{Pairs: s.pairs, Complete: s.complete, Faults: s.faults}
	if s.complete {
		r.Sequence = s.sequence()
	}
	if !s.o.OrderOnly {
		s.measure(r)
	}
	if s.halted() {
		return nil, ErrStopped
	}
	for i := range s.pieces {
		r.Pieces = append(r.Pieces, s.pieces[i].Piece)
	}
	for i, lies := range s.flat {
		if !lies {
			r.LeftOut = append(r.LeftOut, i)
		}
	}
	return r, nil
}

func newStack(a *kinematics.Assembly, p *pattern.Pattern, o Options) *stack {
	s := &stack{
		a: a, pattern: p, o: o, size: a.Design.Size(),
		order: make([]int, len(a.Design.Mechanisms)),
		shut:  a.NewPose(), ajar: a.NewPose(), rate: a.NewRate(),
		tabs: map[string][]int{}, free: map[[2]int]int{},
	}
	for k, m := range a.Design.Order() {
		s.order[m] = k
	}
	a.PoseInto(s.shut, kinematics.Drive{})
	a.PoseInto(s.ajar, kinematics.Drive{Opening: ajarBy})
	a.RateInto(s.rate, s.shut, a.SeedOpening())
	s.findFlat()
	return s
}

// outOfPlane is how far a corner may be off the plane of the shut page, a
// fraction of its longer side, as where shutting flat is judged.
const outOfPlane = 1e-6

// findFlat finds the mechanisms that lie in the shut page with all they stand
// on.
func (s *stack) findFlat() {
	s.flat = make([]bool, len(s.a.Design.Mechanisms))
	for m := range s.flat {
		s.flat[m] = s.shut.Reach[m] == kinematics.Reached
	}
	for i := range s.a.Panels {
		m := s.a.Panels[i].Mechanism
		if m == kinematics.Spread || !s.flat[m] {
			continue
		}
		for _, v := range s.a.Panels[i].Outline {
			if x := s.shut.Panels[i].At(v).X; x*x > outOfPlane*outOfPlane*s.size*s.size {
				s.flat[m] = false
				break
			}
		}
	}
	for _, m := range s.a.Design.Order() {
		for _, host := range s.a.Design.HostsOf(m) {
			s.flat[m] = s.flat[m] && s.flat[host]
		}
	}
}

func (s *stack) isFlat(mechanism int) bool {
	return mechanism == kinematics.Spread || s.flat[mechanism]
}

// halted asks whether to give up. Once told so it does not ask again.
func (s *stack) halted() bool {
	s.stopped = s.stopped || s.o.Stop != nil && s.o.Stop()
	return s.stopped
}
