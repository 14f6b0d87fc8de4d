package pattern

import "foldwright/solver/geom"

// Footprint is the rings of the place a part takes up among others, the outer
// one first: its outline with what is written below it and what is cut past it,
// and its holes. Chords leave curves by no more than tol.
func (p *Part) Footprint(tol float64) [][]geom.Vec2 {
	paper := p.Bounds()
	pieces := []geom.Path{p.Outline}
	for _, l := range p.Labels {
		r := newTextBox(l.At, TextWidth(l.Text, l.Height), l.Height, l.Angle)
		if box := r.box(); box.Min.Y < paper.Min.Y {
			// Up to the middle, so that it hangs together with the paper.
			pieces = append(pieces, geom.Rect(box.Min.X, box.Min.Y, box.Max.X, paper.Center().Y))
		}
	}
	if cuts := p.Cuts.Bounds(); !cuts.Empty() && cuts.Union(paper) != paper {
		pieces = append(pieces, geom.Rect(cuts.Min.X, cuts.Min.Y, cuts.Max.X, cuts.Max.Y))
	}
	rings := p.Outline.Flatten(tol)
	if len(pieces) > 1 {
		rings = [][]geom.Vec2{outerRing(pieces, tol)}
	}
	return append(rings, p.Holes.Flatten(tol)...)
}

// joinedTolerance is how far a union may fall short of its pieces, mm: ten steps
// of the grid that area operations round to.
const joinedTolerance = 0.001

// outerRing is the line around pieces that hang together, or around their box
// where they do not.
func outerRing(pieces []geom.Path, tol float64) []geom.Vec2 {
	all := geom.EmptyBox()
	for _, p := range pieces {
		all = all.Union(p.Bounds())
	}
	if joined, err := geom.Union(pieces...); err == nil && len(joined) > 0 {
		outer := joined[outerContour(joined) : outerContour(joined)+1]
		if b := outer.Bounds().Grow(joinedTolerance); b.Contains(all.Min) && b.Contains(all.Max) {
			return outer.Flatten(tol)[0]
		}
	}
	return geom.Rect(all.Min.X, all.Min.Y, all.Max.X, all.Max.Y).Flatten(tol)[0]
}
