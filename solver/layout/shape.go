package layout

import (
	"math"
	"slices"

	"foldwright/solver/geom"
)

// shape is an outline at one of its turns, moved so that the lower left corner
// of its box is the origin.
type shape struct {
	w, h   float64
	area   float64 // of the outline, holes taken off
	hull   float64 // of the box
	pieces [][]geom.Vec2
}

// turned is a way an item may lie: a shape, and the placement that gives it.
type turned struct {
	shape    int
	rotation geom.Angle
	shift    geom.Vec2 // box corner of the turned outline
}

// pairRef is the no-fit polygon of an ordered pair of shapes. Only one order is
// built; the other is its mirror in the origin.
type pairRef struct {
	box  geom.Box2
	sign float64
	fit  *noFit
}

// catalog holds the shapes of a run and their no-fit polygons.
type catalog struct {
	shapes []shape
	around []geom.Vec2
	reach  float64 // the spacing
	pairs  [][]pairRef
	held   int // by the no-fit polygons, words
	most   int // of held, about

	abandon func() bool // may be nil
}

func newCatalog(o *Options) *catalog {
	if o.Kept != nil && o.Kept.cat != nil && o.Kept.cat.reach == o.Spacing {
		o.Kept.cat.abandon = o.Abandon
		return o.Kept.cat
	}
	c := &catalog{around: disc(o.Spacing), reach: o.Spacing, most: mostHeld, abandon: o.Abandon}
	if o.Kept != nil {
		o.Kept.cat = c
	}
	return c
}

// mostHeld is what no-fit polygons may take before all are forgotten, and made
// again when asked for. Cards of some dozens of parts stay far below; one of 400
// different parts would take a gigabyte.
const mostHeld = 8 << 20 // words: 64 MiB

// forget leaves the memory to others. The polygons are then made again in the
// order they are asked for, which a search does alike every time.
func (c *catalog) forget() {
	for i := range c.pairs {
		for j := range c.pairs[i] {
			c.pairs[i][j].fit = nil
		}
	}
	c.held = 0
}

// Kept holds the no-fit polygons of a layout for further ones of the same
// outlines at the same spacing, which spares making them again. The zero value
// is ready. It serves one layout at a time.
type Kept struct{ cat *catalog }

// outline is an item's cleaned rings and their convex pieces, as drawn.
type outline struct {
	rings  [][]geom.Vec2
	pieces [][]geom.Vec2
	area   float64
}

// newOutline checks and divides the rings of an item. The pieces may reach up
// to slack beyond the rings where that saves corners.
func newOutline(rings [][]geom.Vec2, slack float64) (*outline, Code) {
	if len(rings) == 0 {
		return nil, BadOutline
	}
	o := &outline{}
	for i, r := range rings {
		for _, p := range r {
			if !(math.Abs(p.X) <= largest && math.Abs(p.Y) <= largest) {
				return nil, BadOutline
			}
		}
		if len(r) < 3 {
			if i == 0 {
				return nil, BadOutline
			}
			continue // a hole without area is none
		}
		c := cleanRing(r, i > 0)
		if len(c) < 3 || math.Abs(geom.PolygonArea(c)) < samePoint*samePoint {
			if i == 0 {
				return nil, BadOutline
			}
			continue
		}
		o.rings = append(o.rings, c)
	}
	if !simple(o.rings[:1]) {
		return nil, BadOutline
	}
	for _, h := range o.rings[1:] {
		if !geom.PolygonContains(o.rings[0], h[0]) {
			return nil, BadHole
		}
	}
	if !simple(o.rings) {
		return nil, BadHole
	}
	o.area = Area(o.rings)
	if slack > 0 {
		coarse := make([][]geom.Vec2, len(o.rings))
		for i, r := range o.rings {
			coarse[i] = simplify(r, slack)
		}
		if simple(coarse) {
			o.pieces = decompose(coarse)
		}
	}
	if o.pieces == nil {
		o.pieces = decompose(o.rings)
	}
	if o.pieces == nil && len(o.rings) > 1 {
		// The holes cannot be used: nothing will be laid into them.
		o.pieces = decompose(o.rings[:1])
	}
	if o.pieces == nil {
		return nil, BadOutline
	}
	return o, ""
}

// largest is the largest coordinate taken, mm: 1 km, where a double still
// resolves a ten-millionth of a millimetre.
const largest = 1e6

// add puts an outline at a turn into the catalog, or finds it there.
func (c *catalog) add(o *outline, rotation geom.Angle) turned {
	m := geom.Turn(rotation)
	// Quarter turns without rounding, so that equal shapes are found equal.
	m.C, m.S = snapUnit(m.C), snapUnit(m.S)
	box := geom.EmptyBox()
	for _, p := range o.rings[0] {
		box = box.Extend(m.Apply(p))
	}
	s := shape{w: box.Size().X, h: box.Size().Y, area: o.area}
	s.hull = s.w * s.h
	for _, piece := range o.pieces {
		q := make([]geom.Vec2, len(piece))
		for i, p := range piece {
			q[i] = m.Apply(p).Sub(box.Min)
		}
		s.pieces = append(s.pieces, q)
	}
	t := turned{rotation: rotation, shift: box.Min}
	for i := range c.shapes {
		if c.shapes[i].same(&s) {
			t.shape = i
			return t
		}
	}
	t.shape = len(c.shapes)
	c.shapes = append(c.shapes, s)
	return t
}

func snapUnit(v float64) float64 {
	if r := math.Round(v); math.Abs(v-r) < 1e-12 {
		return r
	}
	return v
}

// same tells whether two shapes have the same pieces, in any order and with
// any first corner.
func (s *shape) same(o *shape) bool {
	if math.Abs(s.w-o.w) > samePoint || math.Abs(s.h-o.h) > samePoint ||
		math.Abs(s.area-o.area) > samePoint*(s.w+s.h) || len(s.pieces) != len(o.pieces) {
		return false
	}
	for _, p := range s.pieces {
		if !slices.ContainsFunc(o.pieces, func(q []geom.Vec2) bool { return sameRing(p, q) }) {
			return false
		}
	}
	return true
}

func sameRing(p, q []geom.Vec2) bool {
	if len(p) != len(q) {
		return false
	}
	for k := range q {
		equal := true
		for i := range p {
			if p[i].Sub(q[(i+k)%len(q)]).Norm() > samePoint/100 {
				equal = false
				break
			}
		}
		if equal {
			return true
		}
	}
	return false
}

// seal makes room for the no-fit polygons once all shapes are known.
func (c *catalog) seal() {
	known := len(c.pairs)
	c.pairs = append(c.pairs, make([][]pairRef, len(c.shapes)-known)...)
	for i := range c.pairs {
		from := len(c.pairs[i])
		c.pairs[i] = append(c.pairs[i], make([]pairRef, len(c.shapes)-from)...)
		for j := from; j < len(c.shapes); j++ {
			a, b := &c.shapes[i], &c.shapes[j]
			c.pairs[i][j].box = geom.Box2{
				Min: geom.Vec2{X: -b.w - c.reach, Y: -b.h - c.reach},
				Max: geom.Vec2{X: a.w + c.reach, Y: a.h + c.reach},
			}
		}
	}
}

// pair gives the no-fit polygon of shape j moving about shape i.
func (c *catalog) pair(i, j int) *pairRef {
	r := &c.pairs[i][j]
	if r.fit == nil {
		if c.held > c.most {
			c.forget()
		}
		fixed, moving := c.shapes[i].pieces, c.shapes[j].pieces
		if c.abandon != nil && c.abandon() {
			fixed, moving = fixed[:min(1, len(fixed))], moving[:min(1, len(moving))] // intricate pairs take seconds
		}
		fit := newNoFit(fixed, moving, c.around)
		c.held += fit.size()
		fit.held = &c.held
		r.fit, r.sign = fit, 1
		if i != j {
			m := &c.pairs[j][i]
			m.fit, m.sign = fit, -1
		}
	}
	return r
}

// depth is the penetration of shape j, at offset (x, y) from shape i, into it,
// and the direction in which j comes free.
func (c *catalog) depth(i, j int, x, y float64) (d, ux, uy float64) {
	r := &c.pairs[i][j]
	if x <= r.box.Min.X || x >= r.box.Max.X || y <= r.box.Min.Y || y >= r.box.Max.Y {
		return 0, 0, 0
	}
	if r.fit == nil {
		r = c.pair(i, j)
	}
	d, ux, uy = r.fit.depth(r.sign*x, r.sign*y)
	return d, r.sign * ux, r.sign * uy
}
