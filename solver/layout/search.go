package layout

import (
	"math"
	"slices"
)

const (
	// spread is how many places all over the bed are tried for a part, and
	// near how many about where it lies, at each of its turns.
	spread = 8
	near   = 8
	// touching is how many places in contact with some other part are tried.
	touching = 40
	// polished is how many of the best are improved.
	polished = 2
	// refinements bounds the steps that improve one.
	refinements = 24
)

// candidate is a place tried.
type candidate struct {
	turn int
	x, y float64
	cost float64
}

// relocate moves part i to the place of least weighted penetration that is
// found, which may be where it lies.
func (b *bed) relocate(i int, everywhere bool) {
	p := &b.parts[i]
	here := candidate{p.turn, p.x, p.y, 0}
	here.cost = b.cost(i, p.shape(), p.x, p.y, math.Inf(1))
	var best [polished]candidate
	count := 0
	add := func(c candidate) {
		k := count
		if count < polished {
			count++
		} else if c.cost >= best[polished-1].cost {
			return
		} else {
			k = polished - 1
		}
		for ; k > 0 && best[k-1].cost > c.cost; k-- {
			best[k] = best[k-1]
		}
		best[k] = c
	}
	add(here)
	for turn := range p.turns {
		if !b.fits(i, turn) || slices.ContainsFunc(p.turns[:turn], func(t turned) bool { return t.shape == p.turns[turn].shape }) {
			continue
		}
		shape := p.turns[turn].shape
		s := &b.cat.shapes[shape]
		limit := func() float64 {
			if count < polished {
				return math.Inf(1)
			}
			return best[polished-1].cost
		}
		try := func(x, y float64) {
			x, y = b.clamp(shape, x, y)
			if c := b.cost(i, shape, x, y, limit()); c < limit() {
				add(candidate{turn, x, y, c})
			}
		}
		// Another turn keeps the middle of the box.
		old := &b.cat.shapes[p.shape()]
		mx, my := p.x+(old.w-s.w)/2, p.y+(old.h-s.h)/2
		if turn != p.turn {
			try(mx, my)
		}
		if everywhere {
			for range spread {
				try(b.rng.Float64()*(b.w-s.w), b.rng.Float64()*(b.h-s.h))
			}
			for range touching {
				try(b.touch(i, shape))
			}
		}
		for range near {
			try(mx+s.w*0.5*(b.rng.Float64()-b.rng.Float64()), my+s.h*0.5*(b.rng.Float64()-b.rng.Float64()))
		}
	}
	win := here
	for k := range best[:count] {
		c := best[k]
		b.refine(i, &c)
		if c.cost < win.cost {
			win = c
		}
	}
	p.lie(win.turn)
	p.x, p.y = win.x, win.y
}

// touch is a random place in contact with a random other part.
func (b *bed) touch(i, shape int) (x, y float64) {
	j := b.rng.IntN(len(b.parts))
	q := &b.parts[j]
	r := b.cat.pair(q.shape(), shape)
	f := &r.fit.fragments[b.rng.IntN(len(r.fit.fragments))]
	t := max(0, min(1, 2*b.rng.Float64()-0.5)) // an end half of the times
	return q.x + r.sign*(f.x+t*f.dx), q.y + r.sign*(f.y+t*f.dy)
}

// exitLine is the line n·p = c on which a part comes free of another.
type exitLine struct{ nx, ny, c, depth, cost float64 }

// refine lowers the cost of a place. The cost is piecewise linear near its
// minima, which lie where the part touches two others, so the corners of the
// lines on which it comes free of those it overlaps are tried first, then steps
// across and along.
func (b *bed) refine(i int, c *candidate) {
	shape := b.parts[i].turns[c.turn].shape
	s := &b.cat.shapes[shape]
	step := math.Inf(1)
	var lines [5]exitLine
	var k int
	try := func(x, y float64) bool {
		x, y = b.clamp(shape, x, y)
		if v := b.cost(i, shape, x, y, c.cost); v < c.cost {
			c.x, c.y, c.cost = x, y, v
			return true
		}
		return false
	}
	moved := true
	for range refinements {
		if c.cost == 0 {
			return
		}
		x, y := c.x, c.y
		if moved {
			moved = false
			if k = b.exits(i, shape, x, y, lines[:]); k == 0 {
				return
			}
			if math.IsInf(step, 1) {
				step = min(lines[0].depth, (s.w+s.h)/8)
			}
			for m := 0; m < k && !moved; m++ {
				l := &lines[m]
				// A little further than the line, for rounding.
				d := l.c - (l.nx*x + l.ny*y) + contact/10
				moved = try(x+l.nx*d, y+l.ny*d)
			}
			for m := 0; m < k && !moved; m++ {
				for o := m + 1; o < k && !moved; o++ {
					l, q := &lines[m], &lines[o]
					det := l.nx*q.ny - l.ny*q.nx
					if math.Abs(det) < 1e-3 {
						continue
					}
					lc, qc := l.c+contact/10, q.c+contact/10
					moved = try((lc*q.ny-qc*l.ny)/det, (l.nx*qc-q.nx*lc)/det)
				}
			}
			if moved {
				continue
			}
		}
		// Along the dearest line and across it.
		l := &lines[0]
		for _, d := range [4][2]float64{{-l.ny, l.nx}, {l.ny, -l.nx}, {l.nx, l.ny}, {-l.nx, -l.ny}} {
			if moved = try(x+d[0]*step, y+d[1]*step); moved {
				break
			}
		}
		if moved {
			step *= 1.5
			continue
		}
		if step *= 0.3; step < 100*contact {
			return
		}
	}
}

// exits lists the lines on which the part comes free of those it overlaps, the
// dearest first.
func (b *bed) exits(i, shape int, x, y float64, out []exitLine) int {
	n := len(b.parts)
	k := 0
	for j := range b.parts {
		if j == i {
			continue
		}
		q := &b.parts[j]
		d, ux, uy := b.cat.depth(q.shape(), shape, x-q.x, y-q.y)
		if d == 0 {
			continue
		}
		w := d * b.weight[i*n+j]
		l := exitLine{ux, uy, ux*x + uy*y + d, d, w}
		m := k
		if k < len(out) {
			k++
		} else if out[k-1].cost >= w {
			continue
		} else {
			m = k - 1
		}
		for ; m > 0 && out[m-1].cost < w; m-- {
			out[m] = out[m-1]
		}
		out[m] = l
	}
	return k
}
