package layout

// relax moves all parts together, without turning them, to bring the sum of
// the squared penetrations, and of what sticks out of the bed, to nothing: a
// limited-memory quasi-Newton method with backtracking. It tells whether the
// layout came free; if not it is left where the method ended.

const (
	relaxMemory = 8
	relaxSteps  = 120
	// relaxClearance is added to every penetration so that the method ends
	// clear of contact instead of closing in on it for ever.
	relaxClearance = accepted / 2
)

type relaxer struct {
	index      []int // of the parts that move
	x, g       []float64
	newX, newG []float64
	d          []float64
	s, y       [relaxMemory][]float64
	rho        [relaxMemory]float64
}

func (b *bed) relax() bool {
	var m relaxer
	for i := range b.parts {
		if !b.parts[i].fixed {
			m.index = append(m.index, i)
		}
	}
	n := 2 * len(m.index)
	buffer := make([]float64, n*(5+2*relaxMemory))
	take := func() []float64 {
		v := buffer[:n:n]
		buffer = buffer[n:]
		return v
	}
	m.x, m.g, m.newX, m.newG, m.d = take(), take(), take(), take(), take()
	for k := range m.s {
		m.s[k], m.y[k] = take(), take()
	}
	for k, i := range m.index {
		m.x[2*k], m.x[2*k+1] = b.parts[i].x, b.parts[i].y
	}
	slot := make([]int, len(b.parts))
	for k, i := range m.index {
		slot[i] = k
	}

	f, worst := b.penalty(m.x, m.g, m.index, slot)
	stored, slow := 0, 0
	for step := 0; step < relaxSteps && worst > accepted; step++ {
		if b.run.done() {
			break
		}
		// Two loops over the stored pairs give the direction.
		copy(m.d, m.g)
		var alpha [relaxMemory]float64
		from := max(0, stored-relaxMemory)
		for k := stored - 1; k >= from; k-- {
			r := k % relaxMemory
			alpha[r] = m.rho[r] * dot(m.s[r], m.d)
			axpy(-alpha[r], m.y[r], m.d)
		}
		scale := 0.25 // half of each penetration by each of its two parts
		if stored > 0 {
			r := (stored - 1) % relaxMemory
			scale = 1 / (m.rho[r] * dot(m.y[r], m.y[r]))
		}
		for k := range m.d {
			m.d[k] *= scale
		}
		for k := from; k < stored; k++ {
			r := k % relaxMemory
			beta := m.rho[r] * dot(m.y[r], m.d)
			axpy(alpha[r]-beta, m.s[r], m.d)
		}
		slope := -dot(m.g, m.d)
		if slope >= 0 {
			copy(m.d, m.g)
			for k := range m.d {
				m.d[k] *= 0.25
			}
			slope = -dot(m.g, m.d)
			stored = 0
		}
		if slope == 0 {
			break
		}
		t := 1.0
		var newF, newWorst float64
		for {
			for k := range m.newX {
				m.newX[k] = m.x[k] - t*m.d[k]
			}
			newF, newWorst = b.penalty(m.newX, m.newG, m.index, slot)
			if newF <= f+1e-4*t*slope || newWorst <= accepted {
				break
			}
			if t *= 0.5; t < 1e-3 {
				break
			}
		}
		if newF >= f && newWorst > accepted {
			if stored == 0 {
				break
			}
			stored = 0 // once more down the gradient
			if slow++; slow > 3 {
				break
			}
			continue
		}
		r := stored % relaxMemory
		for k := range m.x {
			m.s[r][k] = m.newX[k] - m.x[k]
			m.y[r][k] = m.newG[k] - m.g[k]
		}
		if sy := dot(m.s[r], m.y[r]); sy > 1e-10*dot(m.y[r], m.y[r]) {
			m.rho[r] = 1 / sy
			stored++
		}
		if newF > f*0.97 {
			slow++
		} else {
			slow = 0
		}
		m.x, m.newX = m.newX, m.x
		m.g, m.newG = m.newG, m.g
		f, worst = newF, newWorst
		if slow > 6 {
			break
		}
	}
	for k, i := range m.index {
		b.parts[i].x, b.parts[i].y = m.x[2*k], m.x[2*k+1]
	}
	b.clampAll()
	if worst > accepted {
		return false
	}
	return b.free()
}

// free tells whether no parts overlap by more than can be kept.
func (b *bed) free() bool {
	_, largest := b.overlaps(nil)
	return largest <= 2*accepted
}

// penalty is the function relax minimises, its gradient, and the largest
// penetration or excess.
func (b *bed) penalty(x, g []float64, index, slot []int) (f, worst float64) {
	for k, i := range index {
		p := &b.parts[i]
		p.x, p.y = x[2*k], x[2*k+1]
		s := &b.cat.shapes[p.shape()]
		g[2*k], g[2*k+1] = 0, 0
		side := func(over float64, at int, sign float64) {
			if over > 0 {
				f += over * over
				g[at] += 2 * sign * over
				worst = max(worst, over)
			}
		}
		side(-p.x, 2*k, -1)
		side(p.x+s.w-b.w, 2*k, 1)
		side(-p.y, 2*k+1, -1)
		side(p.y+s.h-b.h, 2*k+1, 1)
	}
	for i := range b.parts {
		p := &b.parts[i]
		row := b.cat.pairs[p.shape()]
		for j := i + 1; j < len(b.parts); j++ {
			q := &b.parts[j]
			dx, dy := q.x-p.x, q.y-p.y
			r := &row[q.shape()]
			if dx <= r.box.Min.X || dx >= r.box.Max.X || dy <= r.box.Min.Y || dy >= r.box.Max.Y {
				continue
			}
			if p.fixed && q.fixed {
				continue
			}
			if r.fit == nil {
				r = b.cat.pair(p.shape(), q.shape())
			}
			d, ux, uy := r.fit.depth(r.sign*dx, r.sign*dy)
			if d == 0 {
				continue
			}
			ux *= r.sign
			uy *= r.sign
			worst = max(worst, d)
			d += relaxClearance
			f += d * d
			if !q.fixed {
				k := slot[j]
				g[2*k] -= 2 * d * ux
				g[2*k+1] -= 2 * d * uy
			}
			if !p.fixed {
				k := slot[i]
				g[2*k] += 2 * d * ux
				g[2*k+1] += 2 * d * uy
			}
		}
	}
	return f, worst
}

func dot(a, b []float64) float64 {
	s := 0.0
	for i, v := range a {
		s += v * b[i]
	}
	return s
}

func axpy(k float64, x, y []float64) {
	for i, v := range x {
		y[i] += k * v
	}
}
