package layout

import (
	"math"
	"math/rand/v2"
	"slices"

	"foldwright/solver/geom"
)

// StripLayout is a layout on a strip of fixed width.
type StripLayout struct {
	Placements  []Placement
	Length      float64 // least x that nothing reaches beyond
	Area        float64 // of all parts
	Utilisation float64 // Area by Length by width
	Iterations  int
}

// Strip lays all items on a strip of the given width so that it is as short as
// can be found.
func Strip(items []Item, width float64, o Options) (*StripLayout, error) {
	s, err := newStrip(items, width, &o)
	if err != nil {
		return nil, err
	}
	if len(s.bed.parts) == 0 {
		return &StripLayout{}, nil
	}
	if !s.start() {
		return nil, errInternal
	}
	s.squeeze()
	return s.result(), nil
}

func newStrip(items []Item, width float64, o *Options) (*strip, error) {
	if !o.sound() {
		return nil, &Fault{Code: BadSpacing, Item: -1, Sheet: -1}
	}
	if !(width > 0) || width > largest {
		return nil, &Fault{Code: BadSheet, Item: -1, Sheet: -1}
	}
	outlines, err := outlinesOf(items, o.Slack)
	if err != nil {
		return nil, err
	}
	s := &strip{width: width}
	b := &bed{
		cat: newCatalog(o), h: width,
		rng: rand.New(rand.NewPCG(o.Seed, 0x9e3779b97f4a7c15)), run: newRun(o),
	}
	for i := range items {
		it := &items[i]
		if it.Count < 0 {
			return nil, itemFault(BadCount, i, items)
		}
		var turns []turned
		for _, r := range it.Turns(nil) {
			t := b.cat.add(outlines[i], r)
			if b.cat.shapes[t.shape].h <= width+contact {
				turns = append(turns, t)
			}
		}
		if len(turns) == 0 {
			return nil, itemFault(TooWide, i, items)
		}
		for c := range it.count() {
			if len(b.parts) == MaxParts {
				return nil, itemFault(BadCount, i, items)
			}
			b.parts = append(b.parts, part{turns: turns, kept: turns[0].shape, item: i, copy: c})
			s.area += outlines[i].area
		}
	}
	b.cat.seal()
	s.bed = b
	b.resetWeights()
	s.valid = func(length float64) bool {
		box := geom.Box2{Max: geom.Vec2{X: length, Y: width}}
		return len(clashes(outlines, placements(b, 0, geom.Vec2{}), []geom.Box2{box}, o.Spacing)) == 0
	}
	return s, nil
}

type strip struct {
	bed    *bed
	width  float64
	area   float64
	rounds int                       // failures in a row after which to end; 0 for no bound
	valid  func(length float64) bool // checks the layout on the bed, which ends at the length given

	best   []spot
	length float64 // of best
}

// end is how far the parts reach.
func (b *bed) end() float64 {
	x := 0.0
	for i := range b.parts {
		if p := &b.parts[i]; !p.fixed {
			x = max(x, p.x+b.cat.shapes[p.shape()].w)
		}
	}
	return x
}

// start fills the strip in several orders and keeps the shortest.
func (s *strip) start() bool {
	b := s.bed
	all := make([]int, len(b.parts))
	b.w = 0
	for i := range b.parts {
		all[i] = i
		for _, t := range b.parts[i].turns {
			b.w += b.cat.shapes[t.shape].w + b.cat.reach
		}
	}
	room := b.w
	s.length = math.Inf(1)
	for k, order := range b.orders(all) {
		if k > 0 && b.run.done() {
			break
		}
		b.w = room
		f := &filler{b: b}
		ok := true
		for _, i := range order {
			ok = ok && f.place(i)
		}
		if ok {
			s.keep()
		}
	}
	return s.best != nil
}

// keep takes the layout on the bed as the best when it is shorter and stands
// the check.
func (s *strip) keep() bool {
	b := s.bed
	length := b.end()
	if length >= s.length {
		return false
	}
	if !s.valid(length) {
		return false
	}
	s.best, s.length = b.save(s.best), length
	return true
}

// placements lists where the parts of a bed lie on a sheet on which the bed's
// corner is at origin.
func placements(b *bed, sheet int, origin geom.Vec2) []Placement {
	var out []Placement
	for i := range b.parts {
		p := &b.parts[i]
		if p.fixed {
			continue
		}
		t := &p.turns[p.turn]
		out = append(out, Placement{
			Item: p.item, Copy: p.copy, Sheet: sheet, Rotation: t.rotation,
			At: origin.Add(geom.Vec2{X: p.x, Y: p.y}).Sub(t.shift),
		})
	}
	return out
}

func (s *strip) result() *StripLayout {
	b := s.bed
	b.restore(s.best)
	return &StripLayout{
		Placements: placements(b, 0, geom.Vec2{}), Length: s.length, Area: s.area,
		Utilisation: s.area / (s.length * s.width), Iterations: b.run.passes,
	}
}

const (
	boldest = 0.02   // largest part of the length taken off at once
	shyest  = 0.0005 // smallest
	finest  = 0.00002
)

// squeeze shortens the strip step by step until told to stop.
func (s *strip) squeeze() {
	b := s.bed
	floor := s.floor()
	s.compress(0.01)
	step := 0.01
	for stale := 0; !b.run.done() && s.length > floor*(1+1e-6) && (s.rounds == 0 || stale < s.rounds); {
		target := max(floor, s.length*(1-step))
		won := s.reach(target)
		if won && s.keep() {
			stale = 0
			s.compress(step / 2)
			step = min(boldest, step*1.2)
			continue
		}
		stale++
		step = max(shyest, step*0.6)
		if step == shyest {
			step = 0.01
		}
	}
}

// attempts is how many starts are made for one length.
const attempts = 6

// floor is a length below which no layout can be.
func (s *strip) floor() float64 {
	b := s.bed
	least := s.area / s.width
	for i := range b.parts {
		narrow := math.Inf(1)
		for _, t := range b.parts[i].turns {
			narrow = min(narrow, b.cat.shapes[t.shape].w)
		}
		if !b.parts[i].fixed {
			least = max(least, narrow)
		}
	}
	return least
}

// reach looks for a layout of the given length: from the best layout pushed
// together, and then from the attempts that came nearest, two parts exchanged.
func (s *strip) reach(length float64) bool {
	b := s.bed
	b.restore(s.best)
	s.shorten(length)
	var pool []attempt
	for k := 0; k < attempts && !b.run.done(); k++ {
		if k > 0 {
			b.restore(pool[min(len(pool)-1, int(float64(len(pool))*b.rng.Float64()*b.rng.Float64()))].spots)
			s.disturb()
		}
		won := b.separate(strikes, patience, true)
		if won {
			return true
		}
		// Perhaps it is free at a length that is still shorter.
		failed := b.save(nil)
		for _, part := range [...]float64{0.3, 0.6, 0.85} {
			b.restore(failed)
			b.w = length + part*(s.length-length)
			if b.relax() {
				return true
			}
		}
		b.restore(failed)
		b.w = length
		sum, _ := b.overlaps(nil)
		pool = append(pool, attempt{sum, failed})
		slices.SortStableFunc(pool, func(p, q attempt) int { return compare(p.overlap, q.overlap) })
	}
	return false
}

// attempt is a layout that did not come free.
type attempt struct {
	overlap float64
	spots   []spot
}

// shorten sets the length and moves what is right of a random line to the left
// by the difference.
func (s *strip) shorten(length float64) {
	b := s.bed
	cut := b.rng.Float64() * b.end()
	by := b.end() - length
	for i := range b.parts {
		p := &b.parts[i]
		if !p.fixed && p.x+b.cat.shapes[p.shape()].w/2 > cut {
			p.x -= by
		}
	}
	b.w = length
	for i := range b.parts {
		p := &b.parts[i]
		for turn := 0; turn < len(p.turns) && !p.fixed && !b.fits(i, p.turn); turn++ {
			p.lie(turn)
		}
	}
	b.clampAll()
}

// compress shortens the best layout without rearranging it, by steps that get
// finer.
func (s *strip) compress(step float64) {
	b := s.bed
	floor := s.floor()
	for step > finest && !b.run.done() {
		b.restore(s.best)
		s.shorten(max(floor, s.length*(1-step)))
		b.run.pass()
		if b.relax() && s.keep() {
			continue
		}
		step *= 0.5
	}
}

// disturb exchanges two parts of different shapes, preferring large ones.
func (s *strip) disturb() {
	b := s.bed
	n := len(b.parts)
	pick := func() int {
		k := b.rng.IntN(n)
		for range 2 {
			m := b.rng.IntN(n)
			if b.cat.shapes[b.parts[m].shape()].area > b.cat.shapes[b.parts[k].shape()].area {
				k = m
			}
		}
		return k
	}
	for range 20 {
		i, j := pick(), pick()
		p, q := &b.parts[i], &b.parts[j]
		if p.item == q.item || p.fixed || q.fixed {
			continue
		}
		u, v := &b.cat.shapes[p.shape()], &b.cat.shapes[q.shape()]
		px, py := p.x+u.w/2, p.y+u.h/2
		qx, qy := q.x+v.w/2, q.y+v.h/2
		p.x, p.y = b.clamp(p.shape(), qx-u.w/2, qy-u.h/2)
		q.x, q.y = b.clamp(q.shape(), px-v.w/2, py-v.h/2)
		return
	}
}
