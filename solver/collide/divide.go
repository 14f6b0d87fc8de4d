package collide

// look judges the pairs from number first on in the interval that was entered, and
// those that are not clear in its halves, the earlier first.
func (s *sweeper) look(from, to float64, first int) {
	kept := len(s.pairs)
	for k := first; k < kept && !s.stopped(); k++ {
		p := s.pairs[k]
		x, y := s.body(p.i), s.body(p.j)
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
	s.enter(from, middle, s.pairs[first:])
	s.half(from, middle, first)
	s.enter(middle, to, s.pairs[first:])
	s.half(middle, to, first)
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
