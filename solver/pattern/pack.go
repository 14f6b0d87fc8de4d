package pattern

import (
	"math"
	"sort"

	"foldwright/solver/geom"
)

// extent is the box around all that is drawn of a part, cuts that run past its
// paper too.
func (p *Part) extent() geom.Box2 {
	box := p.Bounds().Union(p.Guides.Bounds()).Union(p.Cuts.Bounds())
	for i := range p.Creases {
		box = box.Extend(p.Creases[i].From).Extend(p.Creases[i].To)
	}
	for i := range p.Glue {
		box = box.Union(p.Glue[i].Path.Bounds())
	}
	for i := range p.Slots {
		box = box.Union(p.Slots[i].Path.Bounds())
	}
	for _, l := range p.Labels {
		r := newTextBox(l.At, TextWidth(l.Text, l.Height), l.Height, l.Angle)
		for _, c := range r.corners() {
			box = box.Extend(c)
		}
	}
	return box
}

// arrange puts the parts in rows, the first part alone in the top row and the
// others by height, tallest first, so that little room is lost in a row. It
// gives where each part's origin goes and the size of the whole, whose lower
// left corner is the origin.
func (p *Pattern) arrange() (at []geom.Vec2, size geom.Vec2) {
	if len(p.Parts) == 0 {
		return nil, geom.Vec2{}
	}
	boxes := make([]geom.Box2, len(p.Parts))
	order := make([]int, len(p.Parts))
	area := 0.0
	for i := range p.Parts {
		boxes[i], order[i] = p.Parts[i].extent(), i
		s := boxes[i].Size()
		area += (s.X + p.spacing) * (s.Y + p.spacing)
	}
	rest := order[1:]
	sort.SliceStable(rest, func(i, j int) bool { return boxes[rest[i]].Size().Y > boxes[rest[j]].Size().Y })

	// As wide as the page, or as a square of all the parts when that is wider.
	wide := max(boxes[0].Size().X, math.Sqrt(area))
	for i := range boxes {
		wide = max(wide, boxes[i].Size().X)
	}
	at = make([]geom.Vec2, len(p.Parts))
	x, top, bottom := 0.0, 0.0, 0.0 // y runs down from 0 for now
	for k, i := range order {
		s := boxes[i].Size()
		if k == 1 || x > 0 && x+s.X > wide {
			x, top = 0, bottom-p.spacing
		}
		at[i] = geom.Vec2{X: x, Y: top - s.Y}.Sub(boxes[i].Min)
		x += s.X + p.spacing
		size.X = max(size.X, x-p.spacing)
		bottom = min(bottom, top-s.Y)
	}
	for i := range at {
		at[i].Y -= bottom
	}
	size.Y = -bottom
	return at, size
}
