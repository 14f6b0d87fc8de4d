package layout

import (
	"math"
	"slices"

	"foldwright/solver/geom"
)

// filler places parts one after another as far left, and then as low, as they
// go. The places tried are the corners of the arrangement of no-fit boundaries
// and bed edges, so holes and gaps left behind are found.
type filler struct {
	b      *bed
	placed []int
	segs   []segment
	points []geom.Vec2
}

// placer places the parts of a bed.
type placer interface {
	// place finds a place for part i, and tells whether there is one.
	place(i int) bool
	// forget takes back what was placed from part i on.
	forget(i int)
}

func newFiller(b *bed) *filler {
	f := &filler{b: b}
	for i := range b.parts {
		f.placed = append(f.placed, i)
	}
	return f
}

func (f *filler) forget(i int) { f.placed = f.placed[:i] }

type segment struct{ a, b geom.Vec2 } // a left of b

// place puts part i at its best free place, whichever of its turns ends
// furthest left, and tells whether there is one.
func (f *filler) place(i int) bool {
	b := f.b
	p := &b.parts[i]
	best, found := spot{}, false
	bestKey := [3]float64{math.Inf(1)}
	for turn := range p.turns {
		if !b.fits(i, turn) || slices.ContainsFunc(p.turns[:turn], func(t turned) bool { return t.shape == p.turns[turn].shape }) {
			continue
		}
		shape := p.turns[turn].shape
		s := &b.cat.shapes[shape]
		at, ok := f.leftmost(shape, bestKey[0]-s.w)
		if !ok {
			continue
		}
		key := [3]float64{at.X + s.w, at.Y + s.h, at.X}
		if !found || slices.Compare(key[:], bestKey[:]) < 0 {
			best, bestKey, found = spot{turn, at.X, at.Y}, key, true
		}
	}
	if !found {
		return false
	}
	p.lie(best.turn)
	p.x, p.y = best.x, best.y
	f.placed = append(f.placed, i)
	return true
}

// leftmost is the free place with the least x, then y, and x at most limit.
func (f *filler) leftmost(shape int, limit float64) (geom.Vec2, bool) {
	b := f.b
	s := &b.cat.shapes[shape]
	right, top := max(0, b.w-s.w), max(0, b.h-s.h)
	limit = min(limit, right)
	f.segs, f.points = f.segs[:0], f.points[:0]
	f.points = append(f.points, geom.Vec2{}, geom.Vec2{Y: top}, geom.Vec2{X: right}, geom.Vec2{X: right, Y: top})
	for _, j := range f.placed {
		if b.run.hurried() {
			return geom.Vec2{}, false
		}
		q := &b.parts[j]
		r := b.cat.pair(q.shape(), shape)
		for k := range r.fit.fragments {
			g := &r.fit.fragments[k]
			u := geom.Vec2{X: q.x + r.sign*g.x, Y: q.y + r.sign*g.y}
			v := u.Add(geom.Vec2{X: r.sign * g.dx, Y: r.sign * g.dy})
			if v.X < u.X {
				u, v = v, u
			}
			if u.X > limit || v.X < 0 || max(u.Y, v.Y) < 0 || min(u.Y, v.Y) > top {
				continue
			}
			f.points = append(f.points, u, v)
			f.segs = append(f.segs, segment{u, v})
			// Where it meets the edges of the bed.
			d := v.Sub(u)
			for _, x := range [2]float64{0, right} {
				if u.X < x && v.X > x {
					f.points = append(f.points, geom.Vec2{X: x, Y: u.Y + d.Y*(x-u.X)/d.X})
				}
			}
			for _, y := range [2]float64{0, top} {
				if (u.Y < y) != (v.Y < y) {
					f.points = append(f.points, geom.Vec2{X: u.X + d.X*(y-u.Y)/d.Y, Y: y})
				}
			}
		}
	}
	at, ok := f.firstFree(shape, limit, top)
	if ok {
		limit = at.X
	}
	// Crossings left of that.
	slices.SortFunc(f.segs, func(s, t segment) int { return compare(s.a.X, t.a.X) })
	f.points = f.points[:0]
	for k := range f.segs {
		s := &f.segs[k]
		if s.a.X > limit {
			break
		}
		low, high := min(s.a.Y, s.b.Y), max(s.a.Y, s.b.Y)
		for m := k + 1; m < len(f.segs); m++ {
			t := &f.segs[m]
			if t.a.X > s.b.X || t.a.X > limit {
				break
			}
			if min(t.a.Y, t.b.Y) > high || max(t.a.Y, t.b.Y) < low {
				continue
			}
			if x, ok := cross(s, t); ok && x.X <= limit {
				f.points = append(f.points, x)
			}
		}
	}
	if c, better := f.firstFree(shape, limit, top); better && (!ok || c.X < at.X || c.X == at.X && c.Y < at.Y) {
		return c, true
	}
	return at, ok
}

// firstFree sorts the points and gives the first that is free.
func (f *filler) firstFree(shape int, limit, top float64) (geom.Vec2, bool) {
	b := f.b
	slices.SortFunc(f.points, func(p, q geom.Vec2) int {
		if c := compare(p.X, q.X); c != 0 {
			return c
		}
		return compare(p.Y, q.Y)
	})
	// Fragment ends lie a hair inside the shapes they bound.
	const hair = contact
	for _, p := range f.points {
		if p.X < -hair || p.X > limit+hair || p.Y < -hair || p.Y > top+hair {
			continue
		}
		x, y := b.clamp(shape, p.X, p.Y)
		if f.free(shape, x, y) {
			return geom.Vec2{X: x, Y: y}, true
		}
	}
	return geom.Vec2{}, false
}

func (f *filler) free(shape int, x, y float64) bool {
	b := f.b
	for _, j := range f.placed {
		q := &b.parts[j]
		dx, dy := x-q.x, y-q.y
		r := &b.cat.pairs[q.shape()][shape]
		if dx <= r.box.Min.X || dx >= r.box.Max.X || dy <= r.box.Min.Y || dy >= r.box.Max.Y {
			continue
		}
		if r.fit == nil {
			r = b.cat.pair(q.shape(), shape)
		}
		if r.fit.meets(r.sign*dx, r.sign*dy) {
			return false
		}
	}
	return true
}

func compare(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// cross is where two segments meet.
func cross(s, t *segment) (geom.Vec2, bool) {
	d, e := s.b.Sub(s.a), t.b.Sub(t.a)
	den := d.Cross(e)
	if math.Abs(den) < 1e-12*(d.Norm()*e.Norm()) || den == 0 {
		return geom.Vec2{}, false
	}
	w := t.a.Sub(s.a)
	u, v := w.Cross(e)/den, w.Cross(d)/den
	if u < 0 || u > 1 || v < 0 || v > 1 {
		return geom.Vec2{}, false
	}
	return s.a.Add(d.Mul(u)), true
}

// orders lists ways to sort the parts for a fill, largest first by several
// measures.
func (b *bed) orders(parts []int) [][]int {
	measures := []func(s *shape) float64{
		func(s *shape) float64 { return s.area },
		func(s *shape) float64 { return s.w + s.h },
		func(s *shape) float64 { return s.hull },
		func(s *shape) float64 { return s.h },
	}
	out := make([][]int, len(measures))
	for k, m := range measures {
		order := slices.Clone(parts)
		slices.SortStableFunc(order, func(i, j int) int {
			return compare(m(&b.cat.shapes[b.parts[j].turns[0].shape]), m(&b.cat.shapes[b.parts[i].turns[0].shape]))
		})
		out[k] = order
	}
	return out
}
