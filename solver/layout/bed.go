package layout

import (
	"math"
	"math/rand/v2"
)

// part is one copy on a bed.
type part struct {
	x, y  float64  // lower left corner of its box
	kept  int      // shape at the turn
	turn  int      // how it lies
	turns []turned // how it may lie
	fixed bool     // a place to keep out of
	item  int
	copy  int
}

func (p *part) shape() int { return p.kept }

// lie turns the part.
func (p *part) lie(turn int) { p.turn, p.kept = turn, p.turns[turn].shape }

// bed is a rectangle from the origin with parts on it, which may overlap while
// the search is at work.
type bed struct {
	cat    *catalog
	w, h   float64
	parts  []part
	weight []float64 // per ordered pair, symmetric
	rng    *rand.Rand
	run    *run
}

// run is what the stages of one call share.
type run struct {
	options *Options
	passes  int
	limit   int // of passes
	stopped bool
}

func newRun(o *Options) *run {
	r := &run{options: o, limit: o.Iterations}
	if r.limit == 0 {
		r.limit = math.MaxInt
		if o.Stop == nil {
			r.limit = DefaultIterations
		}
	}
	return r
}

// done tells whether to end. Once true it stays true.
func (r *run) done() bool {
	if !r.stopped {
		r.stopped = r.passes >= r.limit || r.options.Stop != nil && r.options.Stop()
	}
	return r.stopped
}

// pass counts a pass.
func (r *run) pass() {
	r.passes++
	if tell := r.options.Progress; tell != nil && r.limit < math.MaxInt {
		tell(min(r.passes, r.limit), r.limit)
	}
}

// hurried tells whether only what is quick is left to do.
func (r *run) hurried() bool {
	return r.options.Hurry != nil && r.options.Hurry()
}

// spot is where a part lies.
type spot struct {
	turn int
	x, y float64
}

func (b *bed) save(into []spot) []spot {
	into = into[:0]
	for i := range b.parts {
		p := &b.parts[i]
		into = append(into, spot{p.turn, p.x, p.y})
	}
	return into
}

func (b *bed) restore(from []spot) {
	for i, s := range from {
		p := &b.parts[i]
		p.lie(s.turn)
		p.x, p.y = s.x, s.y
	}
}

func (b *bed) resetWeights() {
	n := len(b.parts)
	if len(b.weight) != n*n {
		b.weight = make([]float64, n*n)
	}
	for i := range b.weight {
		b.weight[i] = 1
	}
}

// fits tells whether the shape of part i at the turn is no larger than the bed.
func (b *bed) fits(i, turn int) bool {
	s := &b.cat.shapes[b.parts[i].turns[turn].shape]
	return s.w <= b.w+contact && s.h <= b.h+contact
}

// clamp moves a corner so that the shape lies on the bed.
func (b *bed) clamp(shape int, x, y float64) (float64, float64) {
	s := &b.cat.shapes[shape]
	return max(0, min(x, b.w-s.w)), max(0, min(y, b.h-s.h))
}

func (b *bed) clampAll() {
	for i := range b.parts {
		if p := &b.parts[i]; !p.fixed {
			p.x, p.y = b.clamp(p.shape(), p.x, p.y)
		}
	}
}

// pairDepth is the penetration of parts i and j.
func (b *bed) pairDepth(i, j int) float64 {
	p, q := &b.parts[i], &b.parts[j]
	if p.fixed && q.fixed {
		return 0
	}
	d, _, _ := b.cat.depth(p.shape(), q.shape(), q.x-p.x, q.y-p.y)
	return d
}

// overlaps gives the sum and the largest of the penetrations, and calls f for
// each pair that overlaps.
func (b *bed) overlaps(f func(i, j int, d float64)) (sum, largest float64) {
	for i := range b.parts {
		p := &b.parts[i]
		row := b.cat.pairs[p.shape()]
		for j := i + 1; j < len(b.parts); j++ {
			q := &b.parts[j]
			x, y := q.x-p.x, q.y-p.y
			if r := &row[q.shape()]; x <= r.box.Min.X || x >= r.box.Max.X || y <= r.box.Min.Y || y >= r.box.Max.Y {
				continue
			}
			if d := b.pairDepth(i, j); d > 0 {
				sum += d
				largest = max(largest, d)
				if f != nil {
					f(i, j, d)
				}
			}
		}
	}
	return sum, largest
}

// cost is the weighted penetration of part i were it the given shape at (x, y),
// or anything above limit as soon as that is passed.
func (b *bed) cost(i, shape int, x, y, limit float64) float64 {
	n := len(b.parts)
	row := b.cat.pairs[shape]
	weight := b.weight[i*n : i*n+n]
	sum := 0.0
	for j := range b.parts {
		if j == i {
			continue
		}
		q := &b.parts[j]
		// As seen from the part: the other one's offset.
		dx, dy := q.x-x, q.y-y
		r := &row[q.shape()]
		if dx <= r.box.Min.X || dx >= r.box.Max.X || dy <= r.box.Min.Y || dy >= r.box.Max.Y {
			continue
		}
		if r.fit == nil {
			r = b.cat.pair(shape, q.shape())
		}
		d, _, _ := r.fit.depth(r.sign*dx, r.sign*dy)
		if d > 0 {
			sum += d * weight[j]
			if sum > limit {
				return sum
			}
		}
	}
	return sum
}
