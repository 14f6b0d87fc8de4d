package geom

import (
	"cmp"
	"math"
	"slices"
)

// origin says that an edge is the piece ta..tb of a source, in the edge's
// direction from its lower to its higher vertex number.
type origin struct {
	source int32
	ta, tb float64
}

// run is a stretch of a ring that starts at vertex `from` and follows one
// source from ta to tb.
type run struct {
	source int32
	ta, tb float64
	from   int32
}

// origins tells of every edge what it is a piece of.
func (n *noder) origins() map[edge][]origin {
	origins := make(map[edge][]origin, len(n.chords))
	for _, c := range n.chords {
		o := origin{c.source, c.ta, c.tb}
		if c.a > c.b {
			o.ta, o.tb = o.tb, o.ta
		}
		e := edgeOf(c.a, c.b)
		origins[e] = append(origins[e], o)
	}
	return origins
}

// rebuild makes a path of the overlay's loops: anticlockwise ones are outer
// rings, clockwise ones holes of the smallest outer ring around them.
func (n *noder) rebuild(loops [][]int32, origins map[edge][]origin) Path {
	groups := n.nest(loops)
	paths := make([]Path, 0, len(groups))
	for _, group := range groups {
		var p Path
		for i, loop := range group {
			c, ok := n.contour(loop, origins)
			if ok {
				p = append(p, c)
			} else if i == 0 {
				break // no outer ring, no holes
			}
		}
		if len(p) > 0 {
			slices.SortStableFunc(p[1:], byStart)
			paths = append(paths, p)
		}
	}
	slices.SortStableFunc(paths, func(a, b Path) int { return byStart(a[0], b[0]) })
	return slices.Concat(paths...)
}

// byStart orders contours by where they start. Comparing on the grid keeps the
// order free of rounding.
func byStart(a, b Contour) int { return compareLow(a.Start, b.Start) }

func compareLow(a, b Vec2) int {
	p, q := gridOf(a), gridOf(b)
	return cmp.Or(cmp.Compare(p.y, q.y), cmp.Compare(p.x, q.x))
}

func gridOf(p Vec2) gridPoint {
	return gridPoint{int64(math.Round(p.X / booleanGrid)), int64(math.Round(p.Y / booleanGrid))}
}

// contour rebuilds one ring; false when it is only a sliver.
func (n *noder) contour(loop []int32, origins map[edge][]origin) (Contour, bool) {
	if n.sliver(loop) {
		return Contour{}, false
	}
	runs := n.runs(loop, origins)
	corners := make([]Vec2, len(runs)) // corners[i] is where runs[i] starts
	for i := range runs {
		corners[i] = n.corner(&runs[(i+len(runs)-1)%len(runs)], &runs[i])
	}
	var segments []Segment // of a ring that starts at corners[0]
	at := corners[0]
	for i := range runs {
		to := corners[(i+1)%len(runs)]
		segments = n.emit(segments, &runs[i], at, to, len(runs) == 1)
		if len(segments) > 0 {
			at = segments[len(segments)-1].To
		}
	}
	if len(segments) == 0 {
		return Contour{}, false
	}
	// A last run too short to draw leaves the end a hair from the start.
	segments[len(segments)-1].To = corners[0]
	return closeRing(mergeLines(segments)), true
}

func (n *noder) sliver(loop []int32) bool {
	perimeter := 0.0
	for i, v := range loop {
		perimeter += n.vertices[v].vec().Sub(n.vertices[loop[(i+1)%len(loop)]].vec()).Norm()
	}
	twice := math.Abs(float64(n.loopArea(loop))) * booleanGrid * booleanGrid
	return twice <= booleanSliver*perimeter
}

// runs cuts the ring into the longest stretches that each follow one source.
func (n *noder) runs(loop []int32, origins map[edge][]origin) []run {
	count := len(loop)
	edges := make([][]origin, count) // in the ring's direction
	for i, v := range loop {
		w := loop[(i+1)%count]
		for _, o := range origins[edgeOf(v, w)] {
			if v > w {
				o.ta, o.tb = o.tb, o.ta
			}
			edges[i] = append(edges[i], o)
		}
	}
	// Begin where no source goes on from the edge before.
	first := 0
	for i := range edges {
		if !slices.ContainsFunc(edges[(i+count-1)%count], func(o origin) bool { _, on := follow(o, edges[i]); return on }) {
			first = i
			break
		}
	}
	var out []run
	for i := 0; i < count; {
		best, length := run{}, 0
		for _, o := range edges[(first+i)%count] {
			r, k := run{source: o.source, ta: o.ta, tb: o.tb}, 1
			for ; i+k < count; k++ {
				next, on := follow(o, edges[(first+i+k)%count])
				if !on {
					break
				}
				o, r.tb = next, next.tb
			}
			if k > length {
				best, length = r, k
			}
		}
		best.from = loop[(first+i)%count]
		out = append(out, best)
		i += length
	}
	return out
}

// follow finds the origin among those of the next edge that goes on along the
// same source. Chords share their parameters to the bit, so equality is exact.
func follow(o origin, next []origin) (origin, bool) {
	for _, q := range next {
		if q.source == o.source && q.ta == o.tb && (q.tb > q.ta) == (o.tb > o.ta) {
			return q, true
		}
	}
	return origin{}, false
}

// corner is the exact point where run p gives way to run q, and sets their
// parameters to it: an end of a source where there is one, else the crossing
// of the two sources, else the grid point.
func (n *noder) corner(p, q *run) Vec2 {
	point := n.vertices[q.from].vec()
	if end, ok := n.sourceEnd(p.source, p.tb); ok {
		point = end
	} else if end, ok := n.sourceEnd(q.source, q.ta); ok {
		point = end
	} else if p.source != q.source || math.Abs(p.tb-q.ta) > sameTurn {
		a, b := &n.sources[p.source].curve, &n.sources[q.source].curve
		if s, t, ok := cross(a, b, p.tb, q.ta, point); ok {
			p.tb, q.ta = s, t
			return a.on(s)
		}
	}
	p.tb = n.settle(p.source, p.tb, point)
	q.ta = n.settle(q.source, q.ta, point)
	return point
}

func (n *noder) sourceEnd(id int32, t float64) (Vec2, bool) {
	switch t {
	case 0:
		return n.sources[id].curve.p0, true
	case 1:
		return n.sources[id].curve.p1, true
	}
	return Vec2{}, false
}

// settle moves an inner parameter to the point of the curve nearest to p.
func (n *noder) settle(id int32, t float64, p Vec2) float64 {
	if t == 0 || t == 1 {
		return t
	}
	k := &n.sources[id].curve
	for range newtonRounds {
		d := k.slope(t)
		step := p.Sub(k.on(t)).Dot(d) / d.Dot(d)
		if !(math.Abs(step) < 1) {
			break
		}
		t = min(1, max(0, t+step))
	}
	return t
}

const (
	// newtonRounds from a start within the flatness: the error squares each
	// time, so six reach rounding even from a poor start.
	newtonRounds = 6
	// crossingReach is how far from the chords' crossing the curves' own may
	// be, mm. Chords are within booleanFlatness of their curves, so at an angle
	// a the crossings differ by twice that over sin a; this admits two degrees.
	crossingReach = 0.1
	// sameTurn tells a curve that crosses itself from one that goes on.
	sameTurn = 0.01
)

// cross refines a crossing of two curves by Newton's method.
func cross(a, b *curve, s, t float64, near Vec2) (float64, float64, bool) {
	for range newtonRounds {
		gap := b.on(t).Sub(a.on(s))
		da, db := a.slope(s), b.slope(t)
		det := da.Cross(db)
		if det == 0 {
			return 0, 0, false
		}
		s += gap.Cross(db) / det
		t += gap.Cross(da) / det
	}
	p := a.on(s)
	ok := s >= 0 && s <= 1 && t >= 0 && t <= 1 &&
		p.Sub(near).Norm() <= crossingReach && p.Sub(b.on(t)).Norm() <= booleanGrid/100
	return s, t, ok
}

// emit appends the run's piece of its source. A source used whole is copied.
func (n *noder) emit(dst []Segment, r *run, from, to Vec2, whole bool) []Segment {
	if !whole && to.Sub(from).Norm() <= booleanWeld*booleanGrid && math.Abs(r.tb-r.ta) < 0.5 {
		return dst // the corners at its ends met
	}
	src := &n.sources[r.source]
	if from == src.curve.p0 && to == src.curve.p1 && r.ta == 0 && r.tb == 1 {
		return append(dst, src.segment)
	}
	if from == src.curve.p1 && to == src.curve.p0 && r.ta == 1 && r.tb == 0 {
		c := Contour{Start: to, Segments: []Segment{src.segment}}
		back := c.reverse()
		return append(dst, back.Segments[0])
	}
	return src.curve.sub(dst, r.ta, r.tb, from, to)
}

// straightness is how far a vertex may lie from the line between its
// neighbours and still be dropped, mm: a thousandth of the grid, so only
// vertices that say nothing go, even from a fine polyline.
const straightness = booleanGrid / 1000

// mergeLines drops the vertices inside straight stretches of a closed ring.
func mergeLines(ring []Segment) []Segment {
	count := len(ring)
	keep := make([]bool, count) // keep[i]: the vertex at the end of ring[i]
	start := ring[count-1].To
	for i := range ring {
		next := &ring[(i+1)%count]
		keep[i] = ring[i].Kind != Line || next.Kind != Line ||
			next.To.Sub(ring[i].To).Dot(ring[i].To.Sub(start)) <= 0 ||
			PointSegmentDistance(ring[i].To, start, next.To) > straightness
		if keep[i] {
			start = ring[i].To
		}
	}
	first := slices.Index(keep, true)
	if first < 0 {
		return ring
	}
	out := make([]Segment, 0, count)
	for i := 1; i <= count; i++ {
		if k := (first + i) % count; keep[k] {
			out = append(out, ring[k])
		}
	}
	return out
}

// closeRing turns a closed list of segments into a contour that starts at its
// lowest vertex. A straight way back to the start is left implied.
func closeRing(ring []Segment) Contour {
	low := 0
	for i := range ring {
		if compareLow(ring[i].To, ring[low].To) < 0 {
			low = i
		}
	}
	segments := append(slices.Clone(ring[low+1:]), ring[:low+1]...)
	c := Contour{Start: ring[low].To, Segments: segments, Closed: true}
	if last := len(segments) - 1; segments[last].Kind == Line {
		c.Segments = segments[:last]
	}
	return c
}
