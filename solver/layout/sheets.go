package layout

import (
	"math/rand/v2"
	"slices"

	"foldwright/solver/geom"
)

// Layout is a layout on sheets.
type Layout struct {
	Placements  []Placement
	Used        []UsedSheet
	Unplaced    []Unplaced
	Area        float64 // of all parts placed
	Utilisation float64 // Area by the area of the sheets used
	Price       float64 // of the sheets used
	Iterations  int
}

// UsedSheet is one sheet of a layout.
type UsedSheet struct {
	Kind        int // index of the kind of sheet
	ID          string
	Parts       int
	Area        float64 // of the parts on it
	Utilisation float64
	Length      float64 // least x that no part reaches beyond
}

// Reason tells why a part was not placed.
type Reason string

const (
	TooLarge Reason = "too_large" // it, or its group, does not fit an empty sheet
	NoSheets Reason = "no_sheets" // the sheets at hand are used up
	Stopped  Reason = "stopped"   // the run ended before its turn came
)

// Unplaced is a copy for which there is no place.
type Unplaced struct {
	Item, Copy int
	Reason     Reason
}

// unit is what goes onto one sheet or not at all: a part, or a group.
type unit struct {
	parts []part // without turns
	area  float64
	kinds []bool // sheets on which every part has a turn
	same  int    // units of the same kind share this number
}

// onSheet is a sheet with parts on it.
type onSheet struct {
	kind  int
	bed   *bed
	units []int
	area  float64 // of the parts
}

type nest struct {
	items    []Item
	kinds    []Sheet
	outlines []*outline
	cat      *catalog
	turns    [][][]turned // by kind and item
	keepOut  [][]part     // by kind: the places to keep out of
	barred   [][]*placedOutline
	units    []unit
	spacing  float64
	left     []int // sheets left by kind, -1 for no bound
	rng      *rand.Rand
	run      *run
	sheets   []*onSheet
	refused  []refusal
}

// refusal is a unit without a place.
type refusal struct {
	unit int
	why  Reason
}

// Sheets lays the items on sheets: as cheaply as can be found, or with as
// little sheet area where there are no prices, filling one sheet after another
// and then emptying the least filled into the others.
func Sheets(items []Item, kinds []Sheet, o Options) (*Layout, error) {
	n, err := newNest(items, kinds, &o)
	if err != nil {
		return nil, err
	}
	n.fillAll()
	if !n.run.hurried() {
		n.improve()
	}
	return n.result(), nil
}

func newNest(items []Item, kinds []Sheet, o *Options) (*nest, error) {
	if !o.sound() {
		return nil, &Fault{Code: BadSpacing, Item: -1, Sheet: -1}
	}
	n := &nest{
		items: items, kinds: kinds, cat: newCatalog(o), spacing: o.Spacing,
		rng: rand.New(rand.NewPCG(o.Seed, 0x9e3779b97f4a7c15)), run: newRun(o),
	}
	for i := range kinds {
		k := &kinds[i]
		w, h := k.Width-2*k.Margin, k.Height-2*k.Margin
		if !(w > 0 && h > 0 && k.Margin >= 0 && k.Width <= largest && k.Height <= largest) || k.Count < 0 {
			return nil, &Fault{Code: BadSheet, Item: -1, Sheet: i, ID: k.ID}
		}
		n.left = append(n.left, k.Count)
		if k.Count == 0 {
			n.left[i] = -1
		}
		var keep []part
		var barred []*placedOutline
		for _, r := range k.KeepOut {
			o, code := newOutline([][]geom.Vec2{{r.Min, {X: r.Max.X, Y: r.Min.Y}, r.Max, {X: r.Min.X, Y: r.Max.Y}}}, 0)
			if code != "" {
				return nil, &Fault{Code: BadSheet, Item: -1, Sheet: i, ID: k.ID}
			}
			t := n.cat.add(o, 0)
			keep = append(keep, part{turns: []turned{t}, kept: t.shape, x: t.shift.X - k.Margin, y: t.shift.Y - k.Margin, fixed: true, item: -1})
			barred = append(barred, o.place(0, geom.Vec2{}))
		}
		n.keepOut = append(n.keepOut, keep)
		n.barred = append(n.barred, barred)
	}
	var err error
	if n.outlines, err = outlinesOf(items, o.Slack); err != nil {
		return nil, err
	}
	n.turns = make([][][]turned, len(kinds))
	for k := range kinds {
		n.turns[k] = make([][]turned, len(items))
		w, h := kinds[k].Width-2*kinds[k].Margin, kinds[k].Height-2*kinds[k].Margin
		for i := range items {
			if items[i].Stock != kinds[k].Stock {
				continue
			}
			for _, r := range items[i].Turns(kinds[k].Grain) {
				t := n.cat.add(n.outlines[i], r)
				if s := &n.cat.shapes[t.shape]; s.w <= w+contact && s.h <= h+contact {
					n.turns[k][i] = append(n.turns[k][i], t)
				}
			}
		}
	}
	n.cat.seal()
	return n, n.makeUnits()
}

func (n *nest) makeUnits() error {
	type groupKey struct{ group, stock string }
	groups := map[groupKey]int{}
	total := 0
	for i := range n.items {
		it := &n.items[i]
		if it.Count < 0 || total+it.count() > MaxParts {
			return itemFault(BadCount, i, n.items)
		}
		total += it.count()
		if !slices.ContainsFunc(n.kinds, func(k Sheet) bool { return k.Stock == it.Stock }) {
			return itemFault(NoSuchStock, i, n.items)
		}
		kinds := make([]bool, len(n.kinds))
		for k := range kinds {
			kinds[k] = len(n.turns[k][i]) > 0
		}
		for c := range it.count() {
			p := part{item: i, copy: c}
			key := groupKey{it.Group, it.Stock}
			if u, ok := groups[key]; ok && it.Group != "" {
				g := &n.units[u]
				g.parts = append(g.parts, p)
				g.area += n.outlines[i].area
				for k := range kinds {
					g.kinds[k] = g.kinds[k] && kinds[k]
				}
				continue
			}
			same := i
			if it.Group != "" {
				groups[key] = len(n.units)
				same = -1 - len(n.units)
			}
			n.units = append(n.units, unit{parts: []part{p}, area: n.outlines[i].area, kinds: slices.Clone(kinds), same: same})
		}
	}
	// The large parts of a group are placed first.
	for i := range n.units {
		slices.SortStableFunc(n.units[i].parts, func(p, q part) int {
			return compare(n.outlines[q.item].area, n.outlines[p.item].area)
		})
	}
	return nil
}

// price is what a sheet of the kind counts for.
func (n *nest) price(kind int) float64 {
	for k := range n.kinds {
		if n.kinds[k].Price > 0 {
			return n.kinds[kind].Price
		}
	}
	return n.kinds[kind].Width * n.kinds[kind].Height
}

func (n *nest) open(kind int) *onSheet {
	k := &n.kinds[kind]
	b := &bed{
		cat: n.cat, w: k.Width - 2*k.Margin, h: k.Height - 2*k.Margin,
		parts: slices.Clone(n.keepOut[kind]), rng: n.rng, run: n.run,
	}
	return &onSheet{kind: kind, bed: b}
}

// append puts the parts of a unit on the bed, not yet anywhere.
func (n *nest) append(s *onSheet, u int) {
	for _, p := range n.units[u].parts {
		p.turns = n.turns[s.kind][p.item]
		p.lie(0)
		s.bed.parts = append(s.bed.parts, p)
	}
}

// fill makes a sheet from as many of the units as go, in the order given.
func (n *nest) fill(kind int, order []int) *onSheet {
	hurried := n.run.hurried()
	s := n.open(kind)
	var f placer = newFiller(s.bed)
	if hurried {
		f = &rows{b: s.bed, gap: n.spacing}
	}
	room := s.bed.w * s.bed.h
	failed := map[int]bool{}
	for _, u := range order {
		if n.run.done() {
			break
		}
		if !hurried && n.run.hurried() {
			if len(s.units) == 0 {
				return n.fill(kind, order) // in rows
			}
			break
		}
		if !n.units[u].kinds[kind] || failed[n.units[u].same] || s.area+n.units[u].area > room {
			continue
		}
		start := len(s.bed.parts)
		n.append(s, u)
		ok := true
		for i := start; ok && i < len(s.bed.parts); i++ {
			ok = f.place(i)
		}
		if !ok {
			s.bed.parts = s.bed.parts[:start]
			f.forget(start)
			failed[n.units[u].same] = true
			continue
		}
		s.units = append(s.units, u)
		s.area += n.units[u].area
	}
	if !n.valid(s) {
		return n.open(kind)
	}
	return s
}

// valid checks a sheet by other means than those that made it.
func (n *nest) valid(s *onSheet) bool {
	k := &n.kinds[s.kind]
	box := geom.Box2{Max: geom.Vec2{X: k.Width, Y: k.Height}}.Grow(-k.Margin)
	list := placements(s.bed, 0, geom.Vec2{X: k.Margin, Y: k.Margin})
	for i := range list {
		p := n.outlines[list[i].Item].place(list[i].Rotation, list[i].At)
		for _, q := range n.barred[s.kind] {
			if p.overlap(q, n.spacing) > OverlapTolerance {
				return false
			}
		}
	}
	return len(clashes(n.outlines, list, []geom.Box2{box}, n.spacing)) == 0
}

// stuff tries to make room for a unit on a sheet by moving the parts about. The
// sheet is left as it was when that fails.
func (n *nest) stuff(s *onSheet, u int) bool {
	b := s.bed
	if !n.units[u].kinds[s.kind] || s.area+n.units[u].area > b.w*b.h {
		return false
	}
	before := b.save(nil)
	n.append(s, u)
	b.resetWeights()
	for i := len(before); i < len(b.parts); i++ {
		p := &b.parts[i]
		p.lie(b.rng.IntN(len(p.turns)))
		p.x, p.y = b.clamp(p.shape(), b.rng.Float64()*b.w, b.rng.Float64()*b.h)
		b.relocate(i, true)
	}
	if b.separate(2, patience, true) {
		s.units = append(s.units, u)
		s.area += n.units[u].area
		if n.valid(s) {
			return true
		}
		s.units = s.units[:len(s.units)-1]
		s.area -= n.units[u].area
	}
	b.parts = b.parts[:len(before)]
	b.restore(before)
	return false
}

// stuffTries is how many different units in a row may fail before a sheet
// counts as full.
const stuffTries = 4

// stuffAll tries the units in order and gives those that did not go.
func (n *nest) stuffAll(s *onSheet, units []int) []int {
	var rest []int
	failed := map[int]bool{}
	fails := 0
	for _, u := range units {
		if fails >= stuffTries || failed[n.units[u].same] || n.run.done() {
			rest = append(rest, u)
			continue
		}
		if !n.units[u].kinds[s.kind] || s.area+n.units[u].area > s.bed.w*s.bed.h {
			rest = append(rest, u)
			continue
		}
		if n.stuff(s, u) {
			fails = 0
			continue
		}
		failed[n.units[u].same] = true
		fails++
		rest = append(rest, u)
	}
	return rest
}

// sorted orders units, largest first, by area or by the box of their first
// part.
func (n *nest) sorted(units []int, kind int, byBox bool) []int {
	out := slices.Clone(units)
	size := func(u int) float64 {
		if !byBox {
			return n.units[u].area
		}
		t := n.turns[kind][n.units[u].parts[0].item]
		if len(t) == 0 {
			return 0
		}
		s := &n.cat.shapes[t[0].shape]
		return (s.w + s.h) * float64(len(n.units[u].parts))
	}
	slices.SortStableFunc(out, func(u, v int) int { return compare(size(v), size(u)) })
	return out
}

// fillAll fills sheets until everything is placed, so that there is a whole
// layout before any of it is improved.
func (n *nest) fillAll() {
	var rest []int
	for u := range n.units {
		if !slices.Contains(n.units[u].kinds, true) {
			n.refuse(u, TooLarge)
			continue
		}
		rest = append(rest, u)
	}
	for len(rest) > 0 {
		if n.run.done() && len(n.sheets) > 0 {
			for _, u := range rest {
				n.refuse(u, Stopped)
			}
			return
		}
		best := n.bestFill(rest)
		if best == nil {
			// Nothing goes by filling. Perhaps a group does by moving about.
			if best = n.force(rest); best == nil {
				for _, u := range rest {
					n.refuse(u, n.why(u))
				}
				return
			}
		}
		rest = slices.DeleteFunc(rest, func(u int) bool { return slices.Contains(best.units, u) })
		n.take(best)
	}
}

func (n *nest) take(s *onSheet) {
	if n.left[s.kind] > 0 {
		n.left[s.kind]--
	}
	n.sheets = append(n.sheets, s)
}

// why tells why a unit cannot be placed.
func (n *nest) why(u int) Reason {
	if n.run.done() || n.run.hurried() {
		return Stopped
	}
	for k, fits := range n.units[u].kinds {
		if fits && n.left[k] != 0 {
			return TooLarge
		}
	}
	return NoSheets
}

func (n *nest) refuse(u int, why Reason) { n.refused = append(n.refused, refusal{u, why}) }

// bestFill is the sheet that takes the units at the least price by area: or the
// cheapest that takes all of them, when that is no dearer.
func (n *nest) bestFill(rest []int) *onSheet {
	var best, whole *onSheet
	rate := func(s *onSheet) float64 { return n.price(s.kind) / s.area }
	for k := range n.kinds {
		if n.left[k] == 0 {
			continue
		}
		for _, byBox := range []bool{false, true} {
			s := n.fill(k, n.sorted(rest, k, byBox))
			if len(s.units) == 0 {
				continue
			}
			if best == nil || rate(s) < rate(best) {
				best = s
			}
			if len(s.units) == len(rest) && (whole == nil || n.price(k) < n.price(whole.kind)) {
				whole = s
			}
		}
	}
	if whole != nil && n.price(whole.kind) <= n.price(best.kind) {
		return whole
	}
	return best
}

// force tries to get one unit onto an empty sheet by overlap minimisation.
func (n *nest) force(rest []int) *onSheet {
	for _, u := range n.sorted(rest, 0, false) {
		for k := range n.kinds {
			if n.left[k] == 0 || !n.units[u].kinds[k] || n.run.hurried() {
				continue
			}
			if s := n.open(k); n.stuff(s, u) {
				return s
			}
		}
	}
	return nil
}

// remove takes the unit at a place in the list off a sheet.
func (n *nest) remove(s *onSheet, at int) {
	u := s.units[at]
	gone := map[[2]int]bool{}
	for _, p := range n.units[u].parts {
		gone[[2]int{p.item, p.copy}] = true
	}
	s.bed.parts = slices.DeleteFunc(s.bed.parts, func(p part) bool { return !p.fixed && gone[[2]int{p.item, p.copy}] })
	s.units = slices.Delete(s.units, at, at+1)
	s.area -= n.units[u].area
}

const (
	// emptyRounds is how often in a row emptying a sheet may come to nothing
	// before it is given up, and squeezeRounds the same for shortening one.
	emptyRounds   = 3
	squeezeRounds = 8
)

// retry makes room for what was left when the sheets ran out.
func (n *nest) retry() {
	failed := map[[2]int]bool{}
	n.refused = slices.DeleteFunc(n.refused, func(r refusal) bool {
		for i, s := range n.sheets {
			key := [2]int{i, n.units[r.unit].same}
			if r.why != NoSheets || failed[key] || n.run.done() {
				continue
			}
			if n.stuff(s, r.unit) {
				return true
			}
			failed[key] = true
		}
		return false
	})
}

// improve places what is left, empties the least filled sheet into the others as long as that goes,
// changes sheets for cheaper ones, and shortens what is used of the last.
func (n *nest) improve() {
	n.retry()
	for stale := 0; stale < emptyRounds && len(n.sheets) > 1 && !n.run.done(); {
		if n.empty() {
			stale = 0
		} else {
			stale++
		}
	}
	for i := range n.sheets {
		if n.run.done() {
			break
		}
		n.cheapen(i)
	}
	// The last sheet is the one with most room left.
	slices.SortStableFunc(n.sheets, func(s, t *onSheet) int {
		fill := func(s *onSheet) float64 { return s.area / (s.bed.w * s.bed.h) }
		return compare(fill(t), fill(s))
	})
	if len(n.sheets) > 0 && !n.run.done() {
		last := n.sheets[len(n.sheets)-1]
		b := last.bed
		s := &strip{bed: b, width: b.h, area: last.area, best: b.save(nil), length: b.end(), rounds: squeezeRounds}
		w := b.w
		s.valid = func(float64) bool { return n.valid(last) }
		s.squeeze()
		b.w = w
		b.restore(s.best)
	}
}

// empty moves units of the least filled sheet to others, smallest sheet first,
// and tells whether the sheet was cleared away.
func (n *nest) empty() bool {
	least := 0
	for i, s := range n.sheets {
		if s.area < n.sheets[least].area {
			least = i
		}
	}
	from := n.sheets[least]
	failed := map[[2]int]bool{}
	for _, u := range n.sorted(from.units, from.kind, false) {
		for i, to := range n.sheets {
			key := [2]int{i, n.units[u].same}
			if i == least || failed[key] || n.run.done() {
				continue
			}
			if n.stuff(to, u) {
				n.remove(from, slices.Index(from.units, u))
				break
			}
			failed[key] = true
		}
	}
	if len(from.units) > 0 {
		return false
	}
	n.sheets = slices.Delete(n.sheets, least, least+1)
	if n.left[from.kind] >= 0 {
		n.left[from.kind]++
	}
	return true
}

// cheapen moves what is on a sheet to the cheapest kind that takes it.
func (n *nest) cheapen(i int) {
	s := n.sheets[i]
	for k := range n.kinds {
		if n.left[k] == 0 || n.price(k) >= n.price(s.kind) {
			continue
		}
		t := n.fill(k, n.sorted(s.units, k, false))
		rest := slices.DeleteFunc(slices.Clone(s.units), func(u int) bool { return slices.Contains(t.units, u) })
		if rest = n.stuffAll(t, rest); len(rest) > 0 {
			continue
		}
		if n.left[s.kind] >= 0 {
			n.left[s.kind]++
		}
		if n.left[k] > 0 {
			n.left[k]--
		}
		n.sheets[i], s = t, t
	}
}

func (n *nest) result() *Layout {
	l := &Layout{Iterations: n.run.passes}
	for _, r := range n.refused {
		for _, p := range n.units[r.unit].parts {
			l.Unplaced = append(l.Unplaced, Unplaced{p.item, p.copy, r.why})
		}
	}
	total := 0.0
	for i, s := range n.sheets {
		k := &n.kinds[s.kind]
		list := placements(s.bed, i, geom.Vec2{X: k.Margin, Y: k.Margin})
		l.Placements = append(l.Placements, list...)
		l.Used = append(l.Used, UsedSheet{
			Kind: s.kind, ID: k.ID, Parts: len(list), Area: s.area,
			Utilisation: s.area / (k.Width * k.Height), Length: s.bed.end() + k.Margin,
		})
		l.Area += s.area
		l.Price += k.Price
		total += k.Width * k.Height
	}
	if total > 0 {
		l.Utilisation = l.Area / total
	}
	return l
}
