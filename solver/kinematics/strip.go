package kinematics

import "foldwright/solver/geom"

// Strip is a band that pulls part of a mechanism.
type Strip struct {
	ID        string // "<mechanism>.strip"
	Mechanism int    // index in the design
	Width     float64
	Behind    bool // it lies against the reverse of the panel its mechanism is on

	// Of a strip the opening draws:

	Length float64 // from what it pulls to its anchor, mm
	Most   float64 // what it has drawn when the book is open flat, mm
	Pulls  Face    // edge it is fixed to, from its middle; Away is into the panel
	Anchor Face    // line it is fixed to, from its middle; Away is away from the gutter
	Gap    StripGap
}

// StripGap is where a strip passes under or through a panel at its base line: a
// gap from From to To along the base line and Rise up the panel, mm, all without
// clearance.
type StripGap struct {
	Panel          int
	From, To, Rise float64
}

// maxStripPoints is the most corners the path of a strip has.
const maxStripPoints = 6

// StripState is where a strip is: how far it has been drawn from the shut
// state, and the middle line of its path through the world.
type StripState struct {
	Travel float64 // mm
	path   [maxStripPoints]geom.Vec3
	points int
}

// Path is the middle line of the strip, from what it pulls to its anchor.
func (s *StripState) Path() []geom.Vec3 { return s.path[:s.points] }

// Length is the length of the path, the same at every opening.
func (s *StripState) Length() float64 {
	sum := 0.0
	for i := 1; i < s.points; i++ {
		sum += s.path[i].Sub(s.path[i-1]).Norm()
	}
	return sum
}

func (s *StripState) set(travel float64, path ...geom.Vec3) {
	s.Travel = travel
	s.points = copy(s.path[:], path)
}

func (c *compiler) addStrip(mechanism int, id string, width float64) int {
	c.Strips = append(c.Strips, Strip{ID: id, Mechanism: mechanism, Width: width})
	return len(c.Strips) - 1
}
