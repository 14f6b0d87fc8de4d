package collide

import (
	"math"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// record is a pair that was not proved everywhere.
type record struct {
	pair
	spans   []Undecided
	leaves  int  // in the interval the sweep is at
	touches bool // where last looked at
	atEnd   bool
}

// patience is how many of the shortest intervals a pair may leave undecided of each
// of those a sweep begins with, before the rest is no longer divided. What touches
// there has none.
const patience = 64

// hardlyMoves tells whether two bodies move on each other by less than a sheet is
// thick.
func (s *sweeper) hardlyMoves(p pair) bool {
	x, y := s.body(p.i), s.body(p.j)
	if !s.steady(x) || !s.steady(y) || !x.here || !y.here {
		return false
	}
	for _, z := range [2]*body{x, y} {
		for k := z.face.hull.first; k < z.face.hull.end; k++ {
			if by, _ := s.strays(z, k, x.frame(), geom.Vec3{}); by > s.a.Design.Paper.Caliper/2 {
				return false
			}
		}
	}
	return true
}

// crosses tells whether two bodies pass through each other at one value. Only what
// carries them is posed.
func (s *sweeper) crosses(p pair, t float64) (Crossing, bool) {
	if s.carriers.of != p {
		s.carriers.of = p
		clear(s.carriers.include)
		s.include(s.bodies[p.i].mechanism)
		s.include(s.bodies[p.j].mechanism)
	}
	s.a.PosePart(s.pose, s.drive(0, t), s.carriers.include)
	s.posed++
	x, y := s.body(p.i), s.body(p.j)
	if !x.here || !y.here {
		return Crossing{}, false
	}
	return Cross(x.face, y.face)
}

// carriers are the mechanisms that carry a pair of bodies.
type carriers struct {
	of      pair
	include []bool
}

func (s *sweeper) include(mechanism int) {
	if mechanism == kinematics.Spread || s.carriers.include[mechanism] {
		return
	}
	s.carriers.include[mechanism] = true
	for _, host := range s.a.Design.HostsOf(mechanism) {
		s.include(host)
	}
}

const (
	// fewestLooks is at how many values an interval is looked at that is not
	// divided further, its ends among them, and mostLooks at how many at most
	// where it is wide.
	fewestLooks, mostLooks = 5, 200
	// looksApart is how far apart they are where it is wide, in resolutions.
	looksApart = 4
)

// looks is at how many values pairs are looked at in an interval. What touches all
// along needs few.
func (s *sweeper) looks(list []pair, from, to float64) int {
	for _, p := range list {
		if r := s.records[p]; r != nil && !r.touches {
			return int(min(max((to-from)/(looksApart*s.resolution), fewestLooks), mostLooks))
		}
	}
	return fewestLooks
}

// judge decides what can be said of pairs in an interval that is not divided
// further.
func (s *sweeper) judge(list []pair, from, to float64) {
	s.met = s.met[:0]
	looks := s.looks(list, from, to)
	for k := range looks {
		t := from + (to-from)*float64(k)/float64(looks-1)
		s.poseAt(t)
		for _, p := range list {
			if s.stopped() {
				return
			}
			x, y := s.body(p.i), s.body(p.j)
			if s.contact.has(p.i, p.j) || !x.here || !y.here {
				continue
			}
			if c, ok := Cross(x.face, y.face); ok {
				s.contact.add(p.i, p.j)
				s.met = append(s.met, meeting{p, t})
				if met := s.contactOf(p, t, c); !s.found(&met) {
					s.r.Contacts = append(s.r.Contacts, met)
					return
				}
			}
		}
	}
	s.enter(from, to, list)
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
	x, y := s.body(p.i), s.body(p.j)
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
	if r.touches = Gap2(x.face, y.face, math.Inf(1)) <= s.noise*s.noise; r.touches {
		r.leaves = patience
	}
	if n := len(r.spans); n > 0 && r.spans[n-1].To == from {
		r.spans[n-1].To = to
		return
	}
	r.spans = append(r.spans, Undecided{[2]Piece{x.Piece, y.Piece}, s.driver, s.opening, from, to})
	s.doubted(&r.spans[len(r.spans)-1])
}

// meet notes a contact that begins after clear, where known, and no later than at
// t, and follows it.
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
	crossing, _ := s.crosses(p, t)
	c := s.contactOf(p, t, crossing)
	s.follow(&c)
	s.r.Contacts = append(s.r.Contacts, c)
}

// contactOf is a contact as it is at one value.
func (s *sweeper) contactOf(p pair, t float64, c Crossing) Contact {
	return Contact{
		Pieces: [2]Piece{s.bodies[p.i].Piece, s.bodies[p.j].Piece}, Fold: None, Driver: s.driver, Opening: s.opening,
		From: t, To: t, Point: c.At, Depth: c.Depth, Deepest: t,
	}
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
