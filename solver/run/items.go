package run

import (
	"math"
	"strconv"

	"foldwright/solver/geom"
	"foldwright/solver/layout"
	"foldwright/solver/pattern"
)

const (
	// curveTolerance is how far chords leave the curves of a part where it is
	// nested, mm. A spacing is widened for it.
	curveTolerance = 0.02
	// slack is how far the nested outlines are rounded outward, mm: the work
	// grows with their corners, and nobody sees two tenths between parts.
	slack = 0.2
)

// apart is how far the nested outlines are kept from each other: wide enough
// for a cut to take its kerf from neither part. Without either, parts may share
// a cut, so nothing is added.
func (o *Options) apart() float64 {
	if d := max(o.Spacing, o.Finish.Kerf); d > 0 {
		return d + 2*curveTolerance
	}
	return 0
}

// piece is a part as it is nested.
type piece struct {
	part  *pattern.Part
	index int // in the pattern
	rule  Rule
	rings [][]geom.Vec2
	grain geom.Angle
	area  float64 // of paper
}

func newPiece(p *pattern.Part, index int, rule Rule) piece {
	return piece{
		part: p, index: index, rule: rule,
		rings: p.Footprint(curveTolerance),
		grain: geom.Angle(math.Atan2(p.Grain.Y, p.Grain.X)),
		area:  p.Area(),
	}
}

// item is the piece for the layout in rooms with a grain or without.
func (p *piece) item(count int, rooms []room) layout.Item {
	it := layout.Item{ID: p.part.ID, Rings: p.rings, Count: count, Rotations: p.rule.Rotations}
	if len(it.Rotations) == 0 {
		it.Rotations = layout.Steps(geom.Degrees(90))
	}
	if p.rule.FreeGrain {
		return it
	}
	it.Grain = &p.grain
	for i := range rooms {
		// Where the grain of the part is askew, no right angle will do.
		if g := rooms[i].grain; g != nil && len(p.rule.Rotations) == 0 && len(it.Turns(g)) == 0 {
			it.Rotations = append(it.Rotations, *g-p.grain, *g-p.grain+math.Pi)
		}
	}
	return it
}

// batch is the pieces of some cards as items of one layout.
type batch struct {
	items []layout.Item
	piece []int // by item
	card  []int // the first card of the item; the others follow
}

// batchOf lists the pieces of cards. What must lie together is an item for each
// card, all else one item for all of them.
func batchOf(pieces []piece, cards int, rooms []room) *batch {
	b := &batch{}
	add := func(k, card, cards int, group string) {
		it := pieces[k].item(cards*pieces[k].part.Count, rooms)
		it.Group = group
		b.items = append(b.items, it)
		b.piece = append(b.piece, k)
		b.card = append(b.card, card)
	}
	for k := range pieces {
		group := pieces[k].rule.Together
		if group == "" || cards == 1 {
			add(k, 0, cards, group)
			continue
		}
		for c := range cards {
			add(k, c, 1, group+"#"+strconv.Itoa(c))
		}
	}
	return b
}

// parts is the number of parts of one card.
func parts(pieces []piece) int {
	n := 0
	for i := range pieces {
		n += pieces[i].part.Count
	}
	return n
}

// turns are those the piece may have in a room.
func (p *piece) turns(r *room) []geom.Angle {
	it := p.item(1, []room{*r})
	return it.Turns(r.grain)
}

// fits tells whether a piece goes into a room, and if not, how large it is at
// the turn at which it sticks out least, and by how much.
func (p *piece) fits(r *room) (size geom.Vec2, over float64) {
	over = math.Inf(1)
	have := r.box.Size()
	for _, a := range p.turns(r) {
		box := geom.EmptyBox()
		for _, ring := range (&layout.Placement{Rotation: a}).Apply(p.rings[:1]) {
			for _, v := range ring {
				box = box.Extend(v)
			}
		}
		s := box.Size()
		if o := max(s.X-have.X, s.Y-have.Y); o < over {
			size, over = s, o
		}
	}
	return size, over
}
