package geom

import (
	"cmp"
	"slices"
)

// edge is an undirected pair of vertices, a < b.
type edge struct{ a, b int32 }

func edgeOf(a, b int32) edge { return edge{min(a, b), max(a, b)} }

// arrangement is the plane cut up by all edges. Half-edge 2i runs along edge i
// from a to b and 2i+1 runs back. A set of operands is `words` bits words.
//
// Crossing an edge changes membership in exactly the operands whose outline it
// is (an outline that uses it an even number of times leaves it, by the
// even-odd rule). So one known place in each connected part fixes the sets on
// both sides of all its edges. That place is left of the part's leftmost
// vertex, found by counting the edges of other parts on a ray from there.
type arrangement struct {
	n     *noder
	words int
	edges []edge
	sets  []uint64  // per edge: the operands whose outline it is
	out   [][]int32 // per vertex: the half-edges that leave it, anticlockwise
	place []int32   // per half-edge: where it is in that list
	left  []uint64  // per half-edge: the operands that hold its left side
	known []bool    // per half-edge: left is set
}

func (n *noder) arrange(operands int) *arrangement {
	g := &arrangement{n: n, words: (operands + 63) / 64, out: make([][]int32, len(n.vertices))}
	index := make(map[edge]int, len(n.chords))
	var edges []edge
	var sets []uint64
	for _, c := range n.chords {
		e := edgeOf(c.a, c.b)
		i, ok := index[e]
		if !ok {
			i = len(edges)
			index[e] = i
			edges = append(edges, e)
			sets = append(sets, make([]uint64, g.words)...)
		}
		sets[i*g.words+int(c.operand)/64] ^= 1 << (c.operand % 64)
	}
	for i, e := range edges {
		set := sets[i*g.words : (i+1)*g.words]
		if !slices.ContainsFunc(set, func(w uint64) bool { return w != 0 }) {
			continue
		}
		h := int32(2 * len(g.edges))
		g.edges = append(g.edges, e)
		g.sets = append(g.sets, set...)
		g.out[e.a] = append(g.out[e.a], h)
		g.out[e.b] = append(g.out[e.b], h+1)
	}
	g.place = make([]int32, 2*len(g.edges))
	g.left = make([]uint64, 2*len(g.edges)*g.words)
	g.known = make([]bool, 2*len(g.edges))
	for v := range g.out {
		o := n.vertices[v]
		slices.SortFunc(g.out[v], func(a, b int32) int {
			return compareTurn(o, n.vertices[g.head(a)], n.vertices[g.head(b)])
		})
		for i, h := range g.out[v] {
			g.place[h] = int32(i)
		}
	}
	return g
}

// compareTurn orders directions from o by angle, starting just past straight
// down: the directions to points right of o, or straight above, come first.
func compareTurn(o, p, q gridPoint) int {
	first := func(v gridPoint) int {
		if v.x > o.x || v.x == o.x && v.y > o.y {
			return 0
		}
		return 1
	}
	return cmp.Or(cmp.Compare(first(p), first(q)), cmp.Compare(0, turn(o, p, q)))
}

func (g *arrangement) tail(h int32) int32 {
	if h%2 == 0 {
		return g.edges[h/2].a
	}
	return g.edges[h/2].b
}

func (g *arrangement) head(h int32) int32 { return g.tail(h ^ 1) }

func (g *arrangement) set(h int32) []uint64 { return g.sets[int(h/2)*g.words : (int(h/2)+1)*g.words] }

func (g *arrangement) leftOf(h int32) []uint64 { return g.left[int(h)*g.words : (int(h)+1)*g.words] }

// label finds the sets left of every half-edge.
func (g *arrangement) label() error {
	order := make([]int32, 0, len(g.out))
	for v := range g.out {
		if len(g.out[v]) > 0 {
			order = append(order, int32(v))
		}
	}
	slices.SortFunc(order, func(a, b int32) int {
		p, q := g.n.vertices[a], g.n.vertices[b]
		return cmp.Or(cmp.Compare(p.x, q.x), cmp.Compare(p.y, q.y))
	})
	part := make([]int32, len(g.edges)) // connected part of each edge, from 1
	count := int32(0)
	for _, v := range order {
		h := g.out[v][0]
		if part[h/2] != 0 {
			continue
		}
		// The first vertex of a part from the left, the lowest of these: all
		// its edges go right or up, and below the first of them is outside.
		count++
		g.connect(h, count, part)
		outside := g.around(v, count, part)
		if err := g.spread(h, outside); err != nil {
			return err
		}
	}
	return nil
}

// connect marks the connected part of a half-edge.
func (g *arrangement) connect(h, number int32, part []int32) {
	part[h/2] = number
	stack := []int32{h}
	for len(stack) > 0 {
		h := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		for _, v := range [2]int32{g.tail(h), g.head(h)} {
			for _, k := range g.out[v] {
				if part[k/2] == 0 {
					part[k/2] = number
					stack = append(stack, k)
				}
			}
		}
	}
}

// around is the set of operands of other parts that hold a vertex, by the
// edges that a ray to the left crosses.
func (g *arrangement) around(v, number int32, part []int32) []uint64 {
	p := g.n.vertices[v]
	set := make([]uint64, g.words)
	for i, e := range g.edges {
		a, b := g.n.vertices[e.a], g.n.vertices[e.b]
		if part[i] == number || (a.y > p.y) == (b.y > p.y) {
			continue
		}
		if a.y > b.y {
			a, b = b, a
		}
		if turn(a, b, p) < 0 { // p is right of the edge
			for w := range set {
				set[w] ^= g.sets[i*g.words+w]
			}
		}
	}
	return set
}

// spread labels a part from the set on the right of its first half-edge.
func (g *arrangement) spread(first int32, right []uint64) error {
	stack := []int32{}
	give := func(h int32, other []uint64) error {
		left, changed := g.leftOf(h), false
		for w, s := range g.set(h) {
			v := other[w] ^ s
			changed = changed || v != left[w]
			if !g.known[h] {
				left[w] = v
			}
		}
		if !g.known[h] {
			g.known[h] = true
			stack = append(stack, h)
			return nil
		}
		if changed {
			return ErrPathTangled // two ways round disagree: a crossing without a vertex
		}
		return nil
	}
	if err := give(first, right); err != nil {
		return err
	}
	for len(stack) > 0 {
		h := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		// Left of h is right of its next neighbour anticlockwise, and the two
		// sides of an edge trade places when it is run back.
		fan := g.out[g.tail(h)]
		next := fan[(int(g.place[h])+1)%len(fan)]
		if err := give(next, g.leftOf(h)); err != nil {
			return err
		}
		if err := give(h^1, g.leftOf(h)); err != nil {
			return err
		}
	}
	return nil
}

// outlines joins the half-edges with the area on their left only, where `inside`
// holds of the set of operands around a point. Loops have the area on their left
// and never visit a vertex twice.
func (g *arrangement) outlines(inside func([]uint64) bool) ([][]int32, error) {
	bound := make([]bool, len(g.known))
	for h := range bound {
		bound[h] = inside(g.leftOf(int32(h))) && !inside(g.leftOf(int32(h)^1))
	}
	var loops [][]int32
	for h := range bound {
		if !bound[h] {
			continue
		}
		found, err := g.walk(int32(h), bound)
		if err != nil {
			return nil, err
		}
		loops = append(loops, found...)
	}
	return loops, nil
}

// walk follows the outline from a half-edge until it closes, and splits off a
// loop wherever it meets itself.
func (g *arrangement) walk(h int32, bound []bool) ([][]int32, error) {
	start := g.tail(h)
	stack, place := []int32{start}, map[int32]int{start: 0}
	var loops [][]int32
	for {
		bound[h] = false
		at := g.head(h)
		if i, met := place[at]; met {
			loops = append(loops, slices.Clone(stack[i:]))
			for _, v := range stack[i+1:] {
				delete(place, v)
			}
			stack = stack[:i+1]
			if at == start {
				return loops, nil
			}
		} else {
			place[at] = len(stack)
			stack = append(stack, at)
		}
		next, ok := g.next(h, bound)
		if !ok {
			return nil, ErrPathTangled
		}
		h = next
	}
}

// next is the first outline half-edge clockwise from the way back: between the
// two lies the area on the left.
func (g *arrangement) next(h int32, bound []bool) (int32, bool) {
	fan := g.out[g.head(h)]
	back := int(g.place[h^1])
	for i := 1; i <= len(fan); i++ {
		if k := fan[(back-i+len(fan))%len(fan)]; bound[k] {
			return k, true
		}
	}
	return 0, false
}

// nest sorts the loops into outer rings, each followed by its holes.
func (n *noder) nest(loops [][]int32) [][][]int32 {
	type ring struct {
		loop []int32
		box  [4]int64
		area int64
	}
	var groups [][][]int32
	var outers, holes []ring
	for _, loop := range loops {
		r := ring{loop, n.loopBox(loop), n.loopArea(loop)}
		switch {
		case r.area > 0:
			outers = append(outers, r)
			groups = append(groups, [][]int32{loop})
		case r.area < 0:
			holes = append(holes, r)
		}
	}
	for _, h := range holes {
		host := -1
		for i, o := range outers {
			if (host < 0 || o.area < outers[host].area) && boxInside(h.box, o.box) && n.loopContains(o.loop, h.loop) {
				host = i
			}
		}
		if host >= 0 {
			groups[host] = append(groups[host], h.loop)
		}
	}
	return groups
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

// loopContains tells whether the outer loop is around the inner. They share
// vertices at most, never an edge, so the middle of an edge of the inner is
// clearly on one side. Doubled coordinates keep it whole.
func (n *noder) loopContains(outer, inner []int32) bool {
	double := func(v int32) gridPoint { return gridPoint{2 * n.vertices[v].x, 2 * n.vertices[v].y} }
	a, b := n.vertices[inner[0]], n.vertices[inner[1]]
	p := gridPoint{a.x + b.x, a.y + b.y}
	in := false
	for i, v := range outer {
		a, b := double(v), double(outer[(i+1)%len(outer)])
		if (a.y > p.y) == (b.y > p.y) {
			continue
		}
		if a.y > b.y {
			a, b = b, a
		}
		if turn(a, b, p) < 0 {
			in = !in
		}
	}
	return in
}
