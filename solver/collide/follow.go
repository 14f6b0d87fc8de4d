package collide

// followSteps is into how many steps the range is divided to follow a contact to
// its end: one half a degree wide, of an opening to 180.
const followSteps = 360

// follow finds where a contact ends and where it is deepest.
func (s *sweeper) follow(c *Contact) {
	p := s.pairOf(c)
	step := (s.last - s.first) / followSteps
	c.To = s.last
	for t := c.From; t < s.last && !s.stopped(); {
		next := min(t+step, s.last)
		found, ok := s.crosses(p, next)
		if !ok {
			c.To = s.endOf(p, t, next)
			break
		}
		if found.Depth > c.Depth {
			c.Depth, c.Deepest = found.Depth, next
			s.found(c)
		}
		t = next
	}
	s.deepen(p, c, step)
}

// endOf is the last value between one at which two bodies are in contact and one
// at which they are not, that they are found to be.
func (s *sweeper) endOf(p pair, in, out float64) float64 {
	return narrow(in, out, func(t float64) bool {
		_, ok := s.crosses(p, t)
		return ok
	})
}

// narrow is the last value between in and out that is found to be in.
func narrow(in, out float64, is func(float64) bool) float64 {
	for range 12 {
		if middle := (in + out) / 2; is(middle) {
			in = middle
		} else {
			out = middle
		}
	}
	return in
}

// deepen narrows down the greatest depth around the deepest value so far, on
// either side of which it falls.
func (s *sweeper) deepen(p pair, c *Contact, step float64) {
	low, high := max(c.Deepest-step, c.From), min(c.Deepest+step, c.To)
	for range 12 {
		third := (high - low) / 3
		one, _ := s.crosses(p, low+third)
		two, _ := s.crosses(p, high-third)
		for _, try := range [2]struct{ depth, at float64 }{{one.Depth, low + third}, {two.Depth, high - third}} {
			if try.depth > c.Depth {
				c.Depth, c.Deepest = try.depth, try.at
			}
		}
		if one.Depth < two.Depth {
			low += third
		} else {
			high -= third
		}
	}
}

func (s *sweeper) pairOf(c *Contact) pair {
	var p [2]int
	for k, piece := range c.Pieces {
		for i := range s.bodies {
			if s.bodies[i].Piece == piece {
				p[k] = i
			}
		}
	}
	return pair{p[0], p[1]}
}
