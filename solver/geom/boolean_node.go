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
// booleanLimit.
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
// and shorter chords. Three rounds suffice in practice, and what might be left
// after eight is within the overlay's own snapping.
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

// edge is an undirected pair of vertices, a < b.
type edge struct{ a, b int32 }

func edgeOf(a, b int32) edge { return edge{min(a, b), max(a, b)} }

// loops are the closed outlines of each operand by the even-odd rule: edges
// run over an even number of times cancel, and what remains has an even number
// of edges at every vertex. Loops never visit a vertex twice and never cross.
func (n *noder) loops(operands int) [][][]int32 {
	odd := make([]map[edge]bool, operands)
	for i := range odd {
		odd[i] = map[edge]bool{}
	}
	for _, c := range n.chords {
		e := edgeOf(c.a, c.b)
		odd[c.operand][e] = !odd[c.operand][e]
	}
	out := make([][][]int32, operands)
	next := make([][]int32, len(n.vertices))
	for i := range odd {
		var touched []int32
		for _, c := range n.chords {
			e := edgeOf(c.a, c.b)
			if int(c.operand) != i || !odd[i][e] {
				continue
			}
			odd[i][e] = false // each edge once
			next[e.a] = append(next[e.a], e.b)
			next[e.b] = append(next[e.b], e.a)
			touched = append(touched, e.a, e.b)
		}
		for _, v := range touched {
			for len(next[v]) > 0 {
				out[i] = append(out[i], n.walk(v, next)...)
			}
		}
	}
	return out
}

// walk follows edges from a vertex back to it, using each once, and splits
// what it walked into loops wherever it meets itself. Leaving every vertex by
// the edge next anticlockwise to the one it came by pairs neighbouring edges,
// so loops that share a vertex touch there and do not cross.
func (n *noder) walk(start int32, next [][]int32) [][]int32 {
	var loops [][]int32
	stack := []int32{start}
	place := map[int32]int{start: 0}
	came, at := int32(-1), start
	for {
		to := n.leave(at, came, next)
		remove(next, at, to)
		remove(next, to, at)
		came, at = at, to
		if i, met := place[to]; met {
			loop := slices.Clone(stack[i:])
			for _, v := range stack[i+1:] {
				delete(place, v)
			}
			stack = stack[:i+1]
			if len(loop) > 2 {
				loops = append(loops, loop)
			}
			if to == start {
				return loops
			}
			continue
		}
		place[to] = len(stack)
		stack = append(stack, to)
	}
}

func (n *noder) leave(at, came int32, next [][]int32) int32 {
	if came < 0 || len(next[at]) == 1 {
		return next[at][0]
	}
	o := n.vertices[at]
	angle := func(v int32) float64 {
		return math.Atan2(float64(n.vertices[v].y-o.y), float64(n.vertices[v].x-o.x))
	}
	from := angle(came)
	best, to := math.Inf(1), int32(-1)
	for _, v := range next[at] {
		d := angle(v) - from
		if d <= 0 {
			d += 2 * math.Pi
		}
		if d < best || d == best && v < to {
			best, to = d, v
		}
	}
	return to
}

func remove(next [][]int32, at, to int32) {
	i := slices.Index(next[at], to)
	next[at] = slices.Delete(next[at], i, i+1)
}

// loopArea is twice the signed area. The result fits 64 bits, so it is right
// even if a partial sum wraps around.
func (n *noder) loopArea(loop []int32) int64 {
	sum := int64(0)
	o := n.vertices[loop[0]]
	for i := 1; i+1 < len(loop); i++ {
		sum += turn(o, n.vertices[loop[i]], n.vertices[loop[i+1]])
	}
	return sum
}

func (n *noder) loopBox(loop []int32) [4]int64 {
	p := n.vertices[loop[0]]
	box := [4]int64{p.x, p.y, p.x, p.y}
	for _, v := range loop {
		q := n.vertices[v]
		box = [4]int64{min(box[0], q.x), min(box[1], q.y), max(box[2], q.x), max(box[3], q.y)}
	}
	return box
}

func boxInside(a, b [4]int64) bool {
	return a[0] >= b[0] && a[1] >= b[1] && a[2] <= b[2] && a[3] <= b[3]
}

// loopContains tells whether the outer loop is around the inner. Loops share
// vertices at most, so the middle of any edge of the inner is on neither side
// of doubt.
func (n *noder) loopContains(outer, inner []int32) bool {
	p := n.vertices[inner[0]].vec().Lerp(n.vertices[inner[1]].vec(), 0.5)
	in := false
	for i, v := range outer {
		a, b := n.vertices[v].vec(), n.vertices[outer[(i+1)%len(outer)]].vec()
		if (a.Y > p.Y) != (b.Y > p.Y) && (b.Sub(a).Cross(p.Sub(a)) > 0) == (b.Y > a.Y) {
			in = !in
		}
	}
	return in
}
