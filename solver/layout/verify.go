package layout

import (
	"math"

	"foldwright/solver/geom"
)

// The check of a layout shares nothing with the search but the convex pieces:
// two pieces overlap by the least distance along an edge normal of either that
// parts them, and outlines are apart by the distance of their edges.

// placedOutline is an outline where a placement puts it.
type placedOutline struct {
	rings  [][]geom.Vec2
	pieces [][]geom.Vec2
	boxes  []geom.Box2 // of the pieces
	box    geom.Box2
}

func (o *outline) place(rotation geom.Angle, at geom.Vec2) *placedOutline {
	p := Placement{Rotation: rotation, At: at}
	out := &placedOutline{rings: p.Apply(o.rings), pieces: p.Apply(o.pieces), box: geom.EmptyBox()}
	for _, q := range out.pieces {
		box := geom.EmptyBox()
		for _, v := range q {
			box = box.Extend(v)
		}
		out.boxes = append(out.boxes, box)
		out.box = out.box.Union(box)
	}
	return out
}

// overlap is how deep two placed outlines are in each other by their pieces, or
// by how much they are nearer than the spacing; 0 when neither.
func (p *placedOutline) overlap(q *placedOutline, spacing float64) float64 {
	if !boxesWithin(p.box, q.box, spacing) {
		return 0
	}
	worst := 0.0
	for i := range p.pieces {
		for j := range q.pieces {
			if boxesWithin(p.boxes[i], q.boxes[j], 0) {
				worst = max(worst, convexOverlap(p.pieces[i], q.pieces[j]))
			}
		}
	}
	if spacing <= 0 || worst > OverlapTolerance {
		return worst
	}
	for _, r := range p.rings {
		for i, a := range r {
			b := r[(i+1)%len(r)]
			edge := geom.EmptyBox().Extend(a).Extend(b)
			if !boxesWithin(edge, q.box, spacing) {
				continue
			}
			for _, s := range q.rings {
				for j, c := range s {
					d := s[(j+1)%len(s)]
					if boxesWithin(edge, geom.EmptyBox().Extend(c).Extend(d), spacing) {
						worst = max(worst, spacing-geom.SegmentDistance(a, b, c, d))
					}
				}
			}
		}
	}
	return worst
}

func boxesWithin(a, b geom.Box2, d float64) bool {
	return a.Min.X < b.Max.X+d && b.Min.X < a.Max.X+d && a.Min.Y < b.Max.Y+d && b.Min.Y < a.Max.Y+d
}

// convexOverlap is the least distance that parts two convex polygons, 0 when
// they are apart.
func convexOverlap(p, q []geom.Vec2) float64 {
	least := math.Inf(1)
	for range 2 {
		for i, a := range p {
			d := p[(i+1)%len(p)].Sub(a)
			n := geom.Vec2{X: d.Y, Y: -d.X}.Unit()
			low := math.Inf(1)
			for _, v := range q {
				low = min(low, n.Dot(v.Sub(a)))
			}
			if low >= 0 {
				return 0
			}
			least = min(least, -low)
		}
		p, q = q, p
	}
	return least
}

// outlinesOf divides the outlines of all items.
func outlinesOf(items []Item, slack float64) ([]*outline, error) {
	out := make([]*outline, len(items))
	for i := range items {
		o, code := newOutline(items[i].Rings, slack)
		if code != "" {
			return nil, itemFault(code, i, items)
		}
		out[i] = o
	}
	return out, nil
}

// Clash is a fault of a layout.
type Clash struct {
	A, B  int     // placements; B is -1 when A is off its sheet
	Depth float64 // by how much, mm
}

// Check lists what is wrong with placements on sheets of the given boxes: parts
// nearer to each other than the spacing, in each other, or outside the box, by
// more than OverlapTolerance. It does not use the no-fit polygons the layout
// was made with.
func Check(items []Item, placements []Placement, boxes []geom.Box2, spacing float64) ([]Clash, error) {
	outlines, err := outlinesOf(items, 0)
	if err != nil {
		return nil, err
	}
	return clashes(outlines, placements, boxes, spacing), nil
}

func clashes(outlines []*outline, placements []Placement, boxes []geom.Box2, spacing float64) []Clash {
	placed := make([]*placedOutline, len(placements))
	var out []Clash
	for i := range placements {
		p := &placements[i]
		placed[i] = outlines[p.Item].place(p.Rotation, p.At)
		sheet, box := boxes[p.Sheet], placed[i].box
		over := max(sheet.Min.X-box.Min.X, sheet.Min.Y-box.Min.Y, box.Max.X-sheet.Max.X, box.Max.Y-sheet.Max.Y)
		if over > OverlapTolerance {
			out = append(out, Clash{i, -1, over})
		}
		for j := range i {
			if placements[j].Sheet != p.Sheet {
				continue
			}
			if d := placed[i].overlap(placed[j], spacing); d > OverlapTolerance {
				out = append(out, Clash{j, i, d})
			}
		}
	}
	return out
}
