package stack

import (
	"slices"

	"foldwright/solver/geom"
)

const (
	// maxFree is how many pairs that move alike a search may put either way.
	maxFree = 600
	// maxTriples bounds the triples of pieces looked at for it.
	maxTriples = 200_000
	// searchBudget bounds the search, in conditions looked at: a second or so.
	searchBudget = 5_000_000
)

// searchOrder looks for another order of the pieces that move alike when the
// order of making breaks a condition.
func (s *stack) searchOrder() {
	if !s.broken {
		return
	}
	p, ok := s.puzzle()
	if !ok {
		s.leaveUndecided(func(*condition) bool { return true })
		return
	}
	budget := searchBudget
	for _, part := range p.parts() {
		if s.halted() {
			return
		}
		end := part.solve(budget, func(values []bool) bool {
			for i, v := range values {
				if k := part.names[i]; s.pairs[k].Above != v {
					s.pairs[k].Above, s.pairs[k].Basis = v, BySearch
				}
			}
			return true
		})
		budget = part.budget
		given := func(c *condition) bool {
			return slices.ContainsFunc(c.literals, func(l literal) bool { return slices.Contains(part.names, l.choice) })
		}
		switch end {
		case gaveUp:
			s.leaveUndecided(given)
		case exhausted:
			for i := range s.conditions {
				if c := &s.conditions[i]; given(c) && !s.keeps(c) {
					s.addThroughCrease(c)
				}
			}
		}
	}
}

// keeps tells whether a condition holds in the order as it is.
func (s *stack) keeps(c *condition) bool {
	values := make([]bool, len(c.literals))
	for i, l := range c.literals {
		values[i] = l.value
		if l.choice >= 0 {
			values[i] = l.value == s.pairs[l.choice].Above
		}
	}
	return c.holds(values)
}

// puzzle is the search: a choice for every pair, of which only those that move
// alike are in conditions; false when it is too large.
func (s *stack) puzzle() (*puzzle, bool) {
	if len(s.free) > maxFree {
		return nil, false
	}
	p := &puzzle{prefer: make([]bool, len(s.pairs))}
	for k := range s.pairs {
		p.prefer[k] = s.pairs[k].Above
	}
	for i := range s.conditions {
		p.require(s.conditions[i].literals, s.conditions[i].holds)
	}
	return p, s.requireNoCycles(p)
}

// requireNoCycles demands that of three pieces in one place, two of which move
// alike, none lies above itself.
func (s *stack) requireNoCycles(p *puzzle) bool {
	free := make([]int, 0, len(s.free))
	for _, k := range s.free {
		free = append(free, k)
	}
	slices.Sort(free)
	over := make([][]int, len(s.pieces)) // pieces that overlap each
	for _, pair := range s.pairs {
		over[pair.First] = append(over[pair.First], pair.Second)
		over[pair.Second] = append(over[pair.Second], pair.First)
	}
	looked := 0
	for _, f := range free {
		i, j := s.pairs[f].First, s.pairs[f].Second
		both := s.common(s.pieces[i].parts, s.pieces[j].parts)
		for _, k := range over[i] {
			if !slices.Contains(over[j], k) {
				continue
			}
			if looked++; looked > maxTriples || s.halted() {
				return false
			}
			cells := s.common(both, s.pieces[k].parts)
			if len(cells) == 0 {
				continue
			}
			at := middle(cells[0])
			p.require([]literal{s.orderAt(i, j, at), s.orderAt(j, k, at), s.orderAt(i, k, at)}, noCycle)
		}
	}
	return true
}

// leaveUndecided reports the pieces of some conditions that could not be
// ordered.
func (s *stack) leaveUndecided(given func(*condition) bool) {
	f := Fault{Kind: NotDecided}
	var list []*piece
	for i := range s.conditions {
		if c := &s.conditions[i]; given(c) && !s.keeps(c) {
			f.Point = world(c.at)
			for _, k := range c.pieces {
				if id := s.pieces[k].ID; !slices.Contains(f.IDs, id) {
					list, f.IDs = append(list, &s.pieces[k]), append(f.IDs, id)
				}
			}
			for _, l := range c.literals {
				if l.choice >= 0 {
					s.pairs[l.choice].Basis = Unknown
				}
			}
		}
	}
	f.Mechanisms = s.concerned(list...)
	s.faults = append(s.faults, f)
}

// pile lists the pieces that hold a place, from the left page to the right.
func (s *stack) pile(at geom.Vec2) []int {
	var list []int
	for i := range s.pieces {
		if s.pieces[i].box.Contains(at) && geom.RingsContain(s.pieces[i].rings, at) {
			list = append(list, i)
		}
	}
	// Where the order runs in a circle it is reported; the sort ends all the same.
	slices.SortStableFunc(list, func(i, j int) int {
		sign, _ := s.above(i, j, at)
		return -sign
	})
	return list
}

// sequence is one order of all pieces that agrees with every pair; nil when
// there is none.
func (s *stack) sequence() []int {
	over := make([][]int, len(s.pieces)) // what lies above each
	under := make([]int, len(s.pieces))  // how many not yet placed lie under each
	for _, pair := range s.pairs {
		low, high := pair.First, pair.Second
		switch {
		case pair.Basis == InPlaces || pair.Basis == Trapped || pair.Basis == Unknown:
			return nil
		case !pair.Above:
			low, high = high, low
		}
		over[low] = append(over[low], high)
		under[high]++
	}
	var ready, out []int
	for i := range s.pieces {
		if under[i] == 0 {
			ready = append(ready, i)
		}
	}
	for len(ready) > 0 {
		i := ready[0]
		ready = ready[1:]
		out = append(out, i)
		for _, j := range over[i] {
			if under[j]--; under[j] == 0 {
				ready = append(ready, j)
			}
		}
	}
	if len(out) < len(s.pieces) {
		return nil
	}
	return out
}
