package geom

import (
	"cmp"
	"math"
	"slices"
)

// gridPoint is a point in whole grid units.
type gridPoint struct{ x, y int64 }

func (a gridPoint) vec() Vec2 { return Vec2{float64(a.x) * booleanGrid, float64(a.y) * booleanGrid} }

// turn is twice the signed area of abc, exact for coordinates within
// booleanLimit, doubled or not.
func turn(a, b, c gridPoint) int64 { return (b.x-a.x)*(c.y-a.y) - (b.y-a.y)*(c.x-a.x) }

// chord is an edge of a flattened path: a piece ta..tb of a source curve, seen
// as the straight line between two vertices.
type chord struct {
	source, operand int32
	a, b            int32
	ta, tb          float64
}

// source is one curve of the input and the segment it was made from.
type source struct {
	curve   curve
	segment Segment
}

// noder turns paths into chords that meet only at shared vertices.
type noder struct {
	sources  []source
	vertices []gridPoint
	cells    map[gridPoint][]int32 // vertices by cell of booleanWeld units
	chords   []chord
}

func newNoder() *noder { return &noder{cells: map[gridPoint][]int32{}} }

func cellOf(p gridPoint) gridPoint {
	return gridPoint{floorDiv(p.x, booleanWeld), floorDiv(p.y, booleanWeld)}
}

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}

// vertex is the vertex at p, an existing one when that is within the weld
// distance.
func (n *noder) vertex(p gridPoint) int32 {
	cell := cellOf(p)
	best, at := int64(booleanWeld*booleanWeld+1), int32(-1)
	for dx := int64(-1); dx <= 1; dx++ {
		for dy := int64(-1); dy <= 1; dy++ {
			for _, v := range n.cells[gridPoint{cell.x + dx, cell.y + dy}] {
				q := n.vertices[v]
				d := (q.x-p.x)*(q.x-p.x) + (q.y-p.y)*(q.y-p.y)
				if d < best || d == best && v < at {
					best, at = d, v
				}
			}
		}
	}
	if at >= 0 {
		return at
	}
	at = int32(len(n.vertices))
	n.vertices = append(n.vertices, p)
	n.cells[cell] = append(n.cells[cell], at)
	return at
}

func (n *noder) vertexAt(p Vec2) int32 {
	return n.vertex(gridPoint{int64(math.Round(p.X / booleanGrid)), int64(math.Round(p.Y / booleanGrid))})
}

// add flattens a path. Every chord knows its curve and parameters.
func (n *noder) add(operand int, p Path) error {
	if b := p.Bounds(); !b.Empty() &&
		!(b.Min.X >= -booleanLimit && b.Min.Y >= -booleanLimit && b.Max.X <= booleanLimit && b.Max.Y <= booleanLimit) {
		return ErrPathTooFar
	}
	if len(n.chords)+p.FlatCount(booleanFlatness) > booleanChords {
		return ErrPathTooFine
	}
	for i := range p {
		c := p[i]
		c.Closed = true
		c.each(func(index int, k *curve) {
			segment := Segment{Kind: Line, To: k.p1}
			if index >= 0 && k.kind != Line {
				segment = c.Segments[index]
			}
			id := int32(len(n.sources))
			n.sources = append(n.sources, source{*k, segment})
			first := len(n.chords)
			at, t := n.vertexAt(k.p0), 0.0
			steps := k.steps(booleanFlatness)
			for j := 1; j <= steps; j++ {
				tj := float64(j) / float64(steps)
				to := n.vertexAt(k.at(tj))
				if to == at {
					continue // too short for the grid: the next chord takes it in
				}
				n.chords = append(n.chords, chord{source: id, operand: int32(operand), a: at, b: to, ta: t, tb: tj})
				at, t = to, tj
			}
			if last := len(n.chords) - 1; last >= first {
				n.chords[last].tb = 1
			}
		})
	}
	return nil
}

// nodingRounds bounds the repetition of node. Splitting bends chords by a few
// grid units, which may make them meet others; each round does that to fewer
// and shorter chords. Three rounds suffice in practice. If ever a crossing is
// left after eight, the overlay notices and refuses.
const nodingRounds = 8

// node splits chords at vertices that lie on them and at crossings until there
// are no more.
func (n *noder) node() {
	for range nodingRounds {
		split := n.split(n.onChords())
		if !n.split(n.crossings()) && !split {
			return
		}
	}
}

// cut is a vertex to be put into a chord at fraction s of its length.
type cut struct {
	chord  int32
	vertex int32
	s      float64
}

// split applies the cuts and tells whether there were any.
func (n *noder) split(cuts []cut) bool {
	if len(cuts) == 0 {
		return false
	}
	slices.SortFunc(cuts, func(a, b cut) int {
		return cmp.Or(cmp.Compare(a.chord, b.chord), cmp.Compare(a.s, b.s), cmp.Compare(a.vertex, b.vertex))
	})
	out := make([]chord, 0, len(n.chords)+len(cuts))
	for i, k := 0, 0; i < len(n.chords); i++ {
		c := n.chords[i]
		whole := c
		for ; k < len(cuts) && cuts[k].chord == int32(i); k++ {
			v := cuts[k].vertex
			if v == c.a || v == whole.b {
				continue
			}
			piece := c
			piece.b = v
			piece.tb = whole.ta + (whole.tb-whole.ta)*cuts[k].s
			out = append(out, piece)
			c.a, c.ta = v, piece.tb
		}
		out = append(out, c)
	}
	n.chords = out
	return true
}

// onChords finds the vertices that lie on a chord between its ends: within the
// weld distance of a straight edge, and for a chord of a curve within its
// flatness too, so that two flattenings of one curve become the same.
func (n *noder) onChords() []cut {
	order := make([]int32, len(n.vertices))
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortFunc(order, func(a, b int32) int {
		return cmp.Or(cmp.Compare(n.vertices[a].x, n.vertices[b].x), cmp.Compare(a, b))
	})
	var cuts []cut
	for i, c := range n.chords {
		reach := float64(booleanWeld)
		if n.sources[c.source].curve.kind != Line {
			reach += booleanFlatness / booleanGrid
		}
		margin := int64(math.Ceil(reach))
		a, b := n.vertices[c.a], n.vertices[c.b]
		low, high := min(a.y, b.y)-margin, max(a.y, b.y)+margin
		right := max(a.x, b.x) + margin
		from, _ := slices.BinarySearchFunc(order, min(a.x, b.x)-margin, func(v int32, x int64) int {
			return cmp.Compare(n.vertices[v].x, x)
		})
		dx, dy := float64(b.x-a.x), float64(b.y-a.y)
		length2 := dx*dx + dy*dy
		for _, v := range order[from:] {
			p := n.vertices[v]
			if p.x > right {
				break
			}
			if p.y < low || p.y > high || v == c.a || v == c.b {
				continue
			}
			px, py := float64(p.x-a.x), float64(p.y-a.y)
			s := (px*dx + py*dy) / length2
			off := px*dy - py*dx
			if s > 0 && s < 1 && off*off <= reach*reach*length2 {
				cuts = append(cuts, cut{int32(i), v, s})
			}
		}
	}
	return cuts
}

// crossings finds where two chords cross between their ends.
func (n *noder) crossings() []cut {
	order := make([]int32, len(n.chords))
	left := make([]int64, len(n.chords))
	for i, c := range n.chords {
		order[i] = int32(i)
		left[i] = min(n.vertices[c.a].x, n.vertices[c.b].x)
	}
	slices.SortFunc(order, func(a, b int32) int { return cmp.Or(cmp.Compare(left[a], left[b]), cmp.Compare(a, b)) })
	var cuts []cut
	for k, i := range order {
		c := &n.chords[i]
		a, b := n.vertices[c.a], n.vertices[c.b]
		right, low, high := max(a.x, b.x), min(a.y, b.y), max(a.y, b.y)
		for _, j := range order[k+1:] {
			if left[j] > right {
				break
			}
			d := &n.chords[j]
			p, q := n.vertices[d.a], n.vertices[d.b]
			if min(p.y, q.y) > high || max(p.y, q.y) < low {
				continue
			}
			sp, sq := turn(a, b, p), turn(a, b, q)
			if sp > 0 == (sq > 0) || sp == 0 || sq == 0 {
				continue
			}
			sa, sb := turn(p, q, a), turn(p, q, b)
			if sa > 0 == (sb > 0) || sa == 0 || sb == 0 {
				continue
			}
			s := float64(sa) / (float64(sa) - float64(sb))
			u := float64(sp) / (float64(sp) - float64(sq))
			v := n.vertex(gridPoint{
				a.x + int64(math.Round(float64(b.x-a.x)*s)),
				a.y + int64(math.Round(float64(b.y-a.y)*s)),
			})
			cuts = append(cuts, cut{i, v, s}, cut{j, v, u})
		}
	}
	return cuts
}
