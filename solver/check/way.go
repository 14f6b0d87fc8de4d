package check

import (
	"cmp"
	"math"
	"slices"

	"foldwright/solver/finding"
)

// way is turns by one amount, with what is known of the least by which they cure: low
// does not and high does. It is narrowed no further than is asked.
type way struct {
	turns     []turn
	low, high float64
	// misses are the last two amounts that did not cure, the older first, and
	// misses[1] is always low.
	misses [2]miss
	tries  int
}

// miss is an amount that did not cure, with what was left of the finding; nil where
// that is not known.
type miss struct {
	delta float64
	left  *finding.Finding
}

const (
	firstDelta = 0.25  // mm, inches or degrees: the first step tried
	deltaGrain = 0.001 // how finely the least step is found
	// partsGrain is the same for faults of the parts, whose tabs are fitted no
	// finer.
	partsGrain = 0.05
	// mostSkipped is how many times as far as the last a step may go at once.
	mostSkipped = 64
	// roundingSlack is the fraction of the last decimal by which a value may be past
	// a round one and still be it.
	roundingSlack = 1e-6
)

// waysOf are the ways to turn the knob that cure, the shorter first.
func (t *trial) waysOf(k knob) []way {
	var ways []way
	for _, turns := range k.ways() {
		if w, ok := t.open(turns); ok {
			ways = append(ways, w)
		}
	}
	if len(ways) > 1 {
		for i := range ways {
			t.narrow(&ways[i], decimalSteps[0])
		}
		slices.SortStableFunc(ways, func(a, b way) int { return cmp.Compare(a.high, b.high) })
	}
	return ways
}

// open doubles a small step until the finding is gone; steps that leave some of it
// by what the last two left are left out.
func (t *trial) open(turns []turn) (way, bool) {
	limit := math.Inf(1)
	for _, turn := range turns {
		n, ok := t.d.Number(turn.pointer)
		if !ok {
			return way{}, false
		}
		lo, hi := n.Range(t.d)
		if turn.sign > 0 {
			limit = math.Min(limit, hi-n.Get())
		} else {
			limit = math.Min(limit, n.Get()-lo)
		}
	}
	w := way{turns: turns, misses: [2]miss{{}, {0, t.finding}}}
	for step := firstDelta; !t.try(&w, math.Min(step, limit)); {
		if step >= limit {
			return w, false
		}
		enough := min(w.expected(), mostSkipped*step)
		for step *= 2; step < enough && step < limit; {
			step *= 2
		}
	}
	return w, true
}

// try makes the turns by an amount and tells whether they cure.
func (t *trial) try(w *way, delta float64) bool {
	changed := t.d.Clone()
	for _, turn := range w.turns {
		n, _ := changed.Number(turn.pointer)
		n.Set(n.Get() + turn.sign*delta)
	}
	var left *finding.Finding
	gone := false
	if changed.Consistent() {
		left, gone = t.left(changed)
	}
	w.tries++
	if gone {
		w.high = delta
	} else {
		w.low, w.misses = delta, [2]miss{w.misses[1], {delta, left}}
	}
	return gone
}

// expected is the amount that would cure if what is left went on falling in
// proportion; 0 where it does not.
func (w *way) expected() float64 {
	a, b := w.misses[0], w.misses[1]
	if a.left == nil || b.left == nil || a.left.Code != b.left.Code || a.left.Amount.Value <= b.left.Amount.Value || !inProportion(b.left.Code) {
		return 0
	}
	return b.delta + b.left.Amount.Value*(b.delta-a.delta)/(a.left.Amount.Value-b.left.Amount.Value)
}

// inProportion tells whether the amounts of a code are lengths that a change makes less
// in proportion to it, down to nothing.
func inProportion(c finding.Code) bool {
	switch c {
	case finding.OutsidePageWhenShut, finding.InsideMargin, finding.AnchorOffPage, finding.EndsMeet, finding.TravelNotReached,
		finding.CutOffHost, finding.StackTooThick, finding.TabTooSmall, finding.PartTooSmall, finding.StripTooShort:
		return true
	}
	return false
}

// narrow tries amounts until what lies between low and high rounds to the same values:
// the middle, or where it is known what to expect, the round one that should do and
// the one below it, and the middle only every third time.
func (t *trial) narrow(w *way, places int) {
	grain := deltaGrain
	if t.finding.Code.OfParts() {
		grain = partsGrain
	}
	for k := 0; k < len(w.turns) && w.high-w.low > grain; {
		n, _ := t.d.Number(w.turns[k].pointer)
		scale := math.Pow10(places)
		from := w.turns[k].sign * n.Get() * scale
		first := math.Floor(from+w.low*scale+roundingSlack) + 1
		last := math.Ceil(from+w.high*scale-roundingSlack) - 1
		if first > last {
			k++
			continue
		}
		at := (w.low + w.high) / 2
		if expected := w.expected(); w.tries%3 != 2 && expected > w.low {
			at = (min(max(math.Ceil(from+expected*scale-roundingSlack), first), last) - from) / scale
		}
		t.try(w, at)
	}
}

// changesBy makes the turns, rounded away from the present values; nil when one would
// leave its range.
func (t *trial) changesBy(w *way, places int) []finding.Change {
	t.narrow(w, places)
	scale := math.Pow10(places)
	changes := make([]finding.Change, len(w.turns))
	for i, turn := range w.turns {
		n, _ := t.d.Number(turn.pointer)
		value := turn.sign * math.Ceil(turn.sign*n.Get()*scale+w.high*scale-roundingSlack) / scale
		if lo, hi := n.Range(t.d); value < lo || value > hi {
			return nil
		}
		changes[i] = finding.Change{Pointer: turn.pointer, Value: value, Unit: n.Unit()}
	}
	return changes
}
