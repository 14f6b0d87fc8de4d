package layout

// rows places parts in rows by their boxes: no dense layout, but one that takes
// no time to speak of.
type rows struct {
	b    *bed
	gap  float64 // between boxes
	x, y float64 // where the next box may begin
	end  float64 // of the row, upward
}

func (r *rows) place(i int) bool {
	before := *r
	for {
		if turn := r.flattest(i); turn >= 0 {
			p := &r.b.parts[i]
			p.lie(turn)
			s := &r.b.cat.shapes[p.shape()]
			p.x, p.y = r.clear(s), r.y
			r.x, r.end = p.x+s.w+r.gap, max(r.end, r.y+s.h)
			return true
		}
		if r.x == 0 && r.end == r.y && r.y >= r.b.h {
			*r = before
			return false
		}
		r.x, r.y = 0, max(r.end, r.y+rowStep)+r.gap
		r.end = r.y
	}
}

// rowStep is how far up another row is begun where nothing goes into one, mm:
// beyond the marks along an edge, say.
const rowStep = 5

// forget leaves the places free that were taken: the next sheet has room.
func (r *rows) forget(int) {}

// flattest is the turn of least height at which part i goes into the row, -1
// for none.
func (r *rows) flattest(i int) int {
	best := -1
	for turn, t := range r.b.parts[i].turns {
		s := &r.b.cat.shapes[t.shape]
		if r.clear(s)+s.w > r.b.w || r.y+s.h > r.b.h {
			continue
		}
		if best < 0 || s.h < r.b.cat.shapes[r.b.parts[i].turns[best].shape].h {
			best = turn
		}
	}
	return best
}

// clear is the least x in the row at which a shape keeps out of what is fixed.
func (r *rows) clear(s *shape) float64 {
	x := r.x
	for moved := true; moved; {
		moved = false
		for i := range r.b.parts {
			p := &r.b.parts[i]
			if !p.fixed {
				continue
			}
			k := &r.b.cat.shapes[p.shape()]
			if x < p.x+k.w+r.gap && x+s.w+r.gap > p.x && r.y < p.y+k.h+r.gap && r.y+s.h+r.gap > p.y {
				x, moved = p.x+k.w+r.gap, true
			}
		}
	}
	return x
}
