package run

import (
	"math"
	"slices"

	"foldwright/solver/geom"
	"foldwright/solver/layout"
)

// stack is the sheets of one stock, in one size or several, and what is cut
// from them.
type stack struct {
	name   string
	stocks []int // indices
	rooms  []room
	kinds  []layout.Sheet
	pieces []piece
}

// placed is a part on a sheet.
type placed struct {
	piece int
	card  int
	nth   int // of the part's count
	turn  geom.Angle
	at    geom.Vec2 // on the sheet
}

// filled is a sheet, cut some times alike.
type filled struct {
	kind   int
	repeat int
	parts  []placed
	length float64 // least x on the sheet that no part reaches beyond
}

// missed is a part of one card without a place.
type missed struct {
	piece  int
	copies int
	reason layout.Reason
}

// attempt is one way to lay out all the cards on a stack.
type attempt struct {
	sheets []filled
	missed []missed
	lost   int // parts without a place
	cost   float64
}

func (a *attempt) used() (sheets int) {
	for i := range a.sheets {
		sheets += a.sheets[i].repeat
	}
	return sheets
}

// better tells whether a is to be preferred: more parts, less money, fewer
// different sheets.
func (a *attempt) better(b *attempt) bool {
	switch {
	case b == nil:
		return true
	case a.lost != b.lost:
		return a.lost < b.lost
	case math.Abs(a.cost-b.cost) > costTolerance*b.cost:
		return a.cost < b.cost
	}
	return len(a.sheets) < len(b.sheets)
}

// costTolerance is the relative difference of sums of the same prices added in
// another order.
const costTolerance = 1e-9

// searcher looks for the best attempt on one stack.
type searcher struct {
	*stack
	o       *Options
	best    *attempt
	kept    layout.Kept
	stopped bool
	err     error
	told    *progress
	until   int // passes of the run that are done when this search is
}

func (s *searcher) stop() bool {
	s.stopped = s.stopped || s.o.Stop != nil && s.o.Stop()
	return s.stopped || s.abandoned()
}

func (s *searcher) abandoned() bool { return s.o.Abandon != nil && s.o.Abandon() }

const (
	// manyParts is how many parts are laid out at once, beyond which only sets
	// are repeated: the work grows with the square.
	manyParts = 400
	// setTries is how many sizes of a set are tried that should fill one sheet.
	setTries = 4
)

// search lays out one card after another without further ado, so that
// everything has a place, and then tries sets of several sizes.
func (s *searcher) search() {
	defer func() { s.told.reach(s.until) }()
	s.keep(s.repeat(1, effort{1, s.abandoned, s.stop}))
	for _, cards := range s.sizes() {
		if s.err != nil || s.stop() || s.cannotImprove() {
			return
		}
		s.told.reach(s.told.done + s.o.Effort)
		s.keep(s.repeat(cards, effort{s.o.Effort, s.stop, nil}))
	}
}

func (s *searcher) keep(a *attempt) {
	if s.err == nil && a.better(s.best) {
		s.best = a
	}
}

// effort bounds an attempt.
type effort struct {
	passes int
	stop   func() bool
	hurry  func() bool // when everything is to have a place soon
}

// sizes lists the sizes of the sets that are tried.
func (s *searcher) sizes() []int {
	copies, per := s.o.Copies, parts(s.pieces)
	sizes := []int{1}
	add := func(cards int) {
		if cards >= 1 && cards <= copies && cards*per <= max(manyParts, per) && !slices.Contains(sizes, cards) {
			sizes = append(sizes, cards)
		}
	}
	perSheet := int(s.capacity() / s.paper())
	for i := range setTries {
		add(perSheet - i)
	}
	for _, cards := range []int{2, 3, 5, 8, copies} {
		add(cards)
	}
	return sizes
}

// paper is the area of the parts of a card.
func (s *searcher) paper() float64 {
	sum := 0.0
	for i := range s.pieces {
		sum += s.pieces[i].area * float64(s.pieces[i].part.Count)
	}
	return sum
}

// capacity is the area of the largest room.
func (s *searcher) capacity() float64 {
	most := 0.0
	for i := range s.rooms {
		most = max(most, area(s.rooms[i].box))
	}
	return most
}

// cannotImprove tells whether the best attempt is one sheet cut again and again
// that wastes no sheet by area.
func (s *searcher) cannotImprove() bool {
	least := math.Ceil(s.paper() * float64(s.o.Copies) / s.capacity())
	return s.best.lost == 0 && len(s.kinds) == 1 && len(s.best.sheets) == 1 && float64(s.best.used()) <= least
}

// repeat lays out a set of cards as often as it goes into the copies and the
// sheets on hand, and then what is left.
func (s *searcher) repeat(cards int, e effort) *attempt {
	a := &attempt{}
	left := make([]int, len(s.kinds)) // by kind, -1 for no end
	for k := range s.kinds {
		left[k] = s.kinds[k].Count
		if left[k] == 0 {
			left[k] = -1
		}
	}
	set := s.layOut(cards, left, e, func(done, _ int) { s.told.during(done) })
	times := s.o.Copies / cards
	for k, n := range set.usedBy(len(s.kinds)) {
		if n > 0 && left[k] >= 0 {
			times = min(times, left[k]/n)
		}
	}
	times = max(1, times)
	a.add(set, times, 0)
	for k, n := range set.usedBy(len(s.kinds)) {
		if left[k] >= 0 {
			left[k] -= n * times
		}
	}
	if rest := s.o.Copies - cards*times; rest > 0 {
		if rest*parts(s.pieces) > max(manyParts, cards*parts(s.pieces)) {
			a.addMissed(missedAll(s.pieces, rest, layout.NoSheets))
		} else {
			a.add(s.layOut(rest, left, e, nil), 1, cards*times)
		}
	}
	for i := range a.sheets {
		a.cost += s.kinds[a.sheets[i].kind].Price * float64(a.sheets[i].repeat)
	}
	return a
}

// add takes the sheets of a set that is cut some times.
func (a *attempt) add(set *attempt, times, firstCard int) {
	for _, f := range set.sheets {
		f.repeat *= times
		for i := range f.parts {
			f.parts[i].card += firstCard
		}
		a.sheets = append(a.sheets, f)
	}
	for _, m := range set.missed {
		m.copies *= times
		a.addMissed([]missed{m})
	}
}

func (a *attempt) addMissed(list []missed) {
	for _, m := range list {
		a.lost += m.copies
		at := slices.IndexFunc(a.missed, func(o missed) bool { return o.piece == m.piece && o.reason == m.reason })
		if at < 0 {
			a.missed = append(a.missed, m)
		} else {
			a.missed[at].copies += m.copies
		}
	}
}

func missedAll(pieces []piece, cards int, why layout.Reason) []missed {
	var out []missed
	for k := range pieces {
		out = append(out, missed{k, cards * pieces[k].part.Count, why})
	}
	return out
}

func (a *attempt) usedBy(kinds int) []int {
	out := make([]int, kinds)
	for i := range a.sheets {
		out[a.sheets[i].kind] += a.sheets[i].repeat
	}
	return out
}

// layOut lays out some cards on the sheets left.
func (s *searcher) layOut(cards int, left []int, e effort, told func(done, of int)) *attempt {
	a := &attempt{}
	var kinds []layout.Sheet
	var kindOf []int
	for k := range s.kinds {
		if left[k] == 0 {
			continue
		}
		kind := s.kinds[k]
		kind.Count = max(0, left[k])
		kinds = append(kinds, kind)
		kindOf = append(kindOf, k)
	}
	if len(kinds) == 0 {
		a.addMissed(missedAll(s.pieces, cards, layout.NoSheets))
		return a
	}
	b := batchOf(s.pieces, cards, s.rooms)
	l, err := layout.Sheets(b.items, kinds, layout.Options{
		Spacing: s.o.apart(), Slack: slack, Kept: &s.kept,
		Seed: s.o.Seed, Iterations: e.passes, Stop: e.stop, Hurry: e.hurry, Abandon: s.o.Abandon, Progress: told,
	})
	if err != nil {
		s.err = err
		a.addMissed(missedAll(s.pieces, cards, layout.Stopped))
		return a
	}
	for i := range l.Used {
		k := kindOf[l.Used[i].Kind]
		a.addSheet(s.sheet(b, l, i, k))
	}
	for _, u := range l.Unplaced {
		a.addMissed([]missed{{b.piece[u.Item], 1, u.Reason}})
	}
	return a
}

// sheet takes one sheet of a layout.
func (s *searcher) sheet(b *batch, l *layout.Layout, sheet, kind int) filled {
	f := filled{kind: kind, repeat: 1, length: l.Used[sheet].Length + s.rooms[kind].box.Min.X}
	for i := range l.Placements {
		p := &l.Placements[i]
		if p.Sheet != sheet {
			continue
		}
		k := b.piece[p.Item]
		count := s.pieces[k].part.Count
		f.parts = append(f.parts, placed{
			piece: k, card: b.card[p.Item] + p.Copy/count, nth: p.Copy % count,
			turn: p.Rotation, at: p.At.Add(s.rooms[kind].box.Min),
		})
	}
	return f
}

// addSheet adds a sheet, or counts it with one that is alike.
func (a *attempt) addSheet(f filled) {
	for i := range a.sheets {
		if a.sheets[i].alike(&f) {
			a.sheets[i].repeat++
			return
		}
	}
	a.sheets = append(a.sheets, f)
}

func (f *filled) alike(g *filled) bool {
	return f.kind == g.kind && slices.EqualFunc(f.parts, g.parts, func(p, q placed) bool {
		return p.piece == q.piece && p.turn == q.turn && p.at == q.at
	})
}
