package stack

import (
	"math"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// crease is a line along which two pieces are one paper.
type crease struct {
	a, b     int // pieces
	at       geom.Vec2
	along    geom.Vec2 // unit
	from, to float64
	// aside are the sides of the line, of its left normal, that a and b lie on.
	aside [2]float64
	// through is the piece the tab of the crease goes through, -1 for none.
	through int
}

// beside is how far off a crease its surroundings are looked at, a fraction of
// the longer side of a page: 0.1 mm on one of 200, well inside any paper there
// is and far enough for its layers to part.
const beside = 5e-4

func (c *crease) point(u, off float64) geom.Vec2 {
	return c.at.Add(c.along.Mul(u)).Add(c.along.Perp().Mul(off))
}

// folded tells whether both pieces lie on one side of the crease.
func (c *crease) folded() bool { return c.aside[0] == c.aside[1] }

// findCreases lists the creases of panels with each other and with their tabs.
func (s *stack) findCreases() {
	for i := range s.a.Folds {
		f := &s.a.Folds[i]
		if !s.isFlat(f.Mechanism) || s.pieceOf[f.Panels[0]] < 0 || s.pieceOf[f.Panels[1]] < 0 {
			continue
		}
		ends := s.shut.FoldEnds(i)
		from := flat(ends[0])
		along := flat(ends[1]).Sub(from)
		c := crease{at: from, along: along.Unit(), to: along.Norm(), through: -1}
		if c.to <= grazing {
			continue
		}
		glued := s.tabs[f.ID]
		cut := f.Mechanism >= 0 && s.a.Design.Mechanisms[f.Mechanism].Info().OneSheet
		switch {
		case len(glued) > 0:
			for _, tab := range glued {
				s.addTabCrease(c, s.pieceOf[f.Panels[1]], tab)
			}
		case f.Role != kinematics.BaseFold || cut:
			c.a, c.b = s.pieceOf[f.Left.Panel], s.pieceOf[f.Right.Panel]
			c.aside = [2]float64{s.asideOf(&c, &f.Left), s.asideOf(&c, &f.Right)}
			s.creases = append(s.creases, c)
		}
	}
}

// asideOf is the side of a crease that a face of its fold lies on.
func (s *stack) asideOf(c *crease, f *kinematics.Face) float64 {
	away := flat(s.shut.Panels[f.Panel].Dir(f.Away))
	return math.Copysign(1, c.along.Cross(away))
}

// addTabCrease adds the crease of a panel with its tab, as far as the tab goes.
func (s *stack) addTabCrease(c crease, panel, tab int) {
	side := func(i int) float64 {
		sum := 0.0
		for _, part := range s.pieces[i].parts {
			sum += geom.PolygonArea(part) * c.along.Cross(middle(part).Sub(c.at))
		}
		return math.Copysign(1, sum)
	}
	from, to := math.Inf(1), math.Inf(-1)
	for _, ring := range s.pieces[tab].rings {
		for _, p := range ring {
			d := p.Sub(c.at)
			if math.Abs(c.along.Cross(d)) <= grazing {
				from, to = min(from, c.along.Dot(d)), max(to, c.along.Dot(d))
			}
		}
	}
	c.from, c.to = max(c.from, from), min(c.to, to)
	if c.to-c.from <= grazing {
		return
	}
	c.a, c.b, c.aside = panel, tab, [2]float64{side(panel), side(tab)}
	for i := range s.pattern.Joints {
		if j := &s.pattern.Joints[i]; j.ID == s.pieces[tab].ID && j.Slotted {
			c.through = s.pieces[tab].on
		}
	}
	s.creases = append(s.creases, c)
}

// holdCreases holds the order against the creases: each condition as a set of
// orders at a place, which are known or stand for a pair that could lie either
// way.
func (s *stack) holdCreases() {
	for k := range s.creases {
		c := &s.creases[k]
		if s.halted() {
			return
		}
		box := geom.EmptyBox().Extend(c.point(c.from, 0)).Extend(c.point(c.to, 0))
		for q := range s.pieces {
			if q != c.a && q != c.b && q != c.through && s.pieces[q].box.Overlaps(box) {
				s.holdAcross(c, q)
			}
		}
		for l := range k {
			s.holdTogether(&s.creases[l], c)
		}
	}
}

// condition is one demand of a crease on the order of some pieces.
type condition struct {
	literals []literal
	holds    func([]bool) bool
	pieces   []int
	at       geom.Vec2
}

func (s *stack) demand(c condition) {
	values, fixed := make([]bool, len(c.literals)), true
	for i, l := range c.literals {
		values[i] = l.value
		if l.choice >= 0 {
			values[i], fixed = l.value == s.pairs[l.choice].Above, false
		}
	}
	kept := c.holds(values)
	switch {
	case !fixed:
		s.conditions = append(s.conditions, c)
		s.broken = s.broken || !kept
	case !kept:
		s.addThroughCrease(&c)
	}
}

func (s *stack) addThroughCrease(c *condition) {
	f := Fault{Kind: ThroughCrease, Grave: true, Point: world(c.at)}
	var list []*piece
	for _, i := range c.pieces {
		list = append(list, &s.pieces[i])
		f.IDs = append(f.IDs, s.pieces[i].ID)
	}
	f.Mechanisms = s.concerned(list...)
	s.faults = append(s.faults, f)
}

// orderAt is whether piece j lies above piece i at a place, as a literal.
func (s *stack) orderAt(i, j int, at geom.Vec2) literal {
	sign, k := s.above(i, j, at)
	if k < 0 {
		return literal{-1, sign > 0}
	}
	return literal{k, i < j}
}

// holdAcross demands that a piece that runs on across a crease lies on one side
// of both its layers.
func (s *stack) holdAcross(c *crease, q int) {
	off := beside * s.size
	u, ok := longest(meet(s.inside(q, c, off), s.inside(q, c, -off)), off)
	if !ok {
		return
	}
	a, b := c.point(u, off*c.aside[0]), c.point(u, off*c.aside[1])
	s.demand(condition{
		literals: []literal{s.orderAt(q, c.a, a), s.orderAt(q, c.b, b)}, holds: sameSide,
		pieces: []int{q, c.a, c.b}, at: c.point(u, 0),
	})
}

// inside is where a line beside a crease runs over a piece, as stretches of it.
func (s *stack) inside(q int, c *crease, off float64) [][2]float64 {
	var out [][2]float64
	normal := c.along.Perp()
	for _, part := range s.pieces[q].parts {
		from, to := c.from, c.to
		for i, p := range part {
			// Inside is left of every side: d × (at - p) ≥ 0, linear in u.
			d := part[(i+1)%len(part)].Sub(p)
			start := d.Cross(c.at.Add(normal.Mul(off)).Sub(p))
			switch grow := d.Cross(c.along); {
			case grow > 0:
				from = max(from, -start/grow)
			case grow < 0:
				to = min(to, -start/grow)
			case start < 0:
				to = from
			}
		}
		if to > from {
			out = append(out, [2]float64{from, to})
		}
	}
	return out
}

// meet is the common part of two lists of stretches.
func meet(a, b [][2]float64) [][2]float64 {
	var out [][2]float64
	for _, s := range a {
		for _, t := range b {
			if from, to := max(s[0], t[0]), min(s[1], t[1]); to > from {
				out = append(out, [2]float64{from, to})
			}
		}
	}
	return out
}

// longest is the middle of the longest stretch that is longer than given.
func longest(list [][2]float64, least float64) (at float64, ok bool) {
	for _, s := range list {
		if length := s[1] - s[0]; length > least {
			at, ok, least = (s[0]+s[1])/2, true, length
		}
	}
	return at, ok
}

// holdTogether demands of two creases in one place that their layers do not
// pass through each other.
func (s *stack) holdTogether(c, d *crease) {
	if c.a == d.a || c.a == d.b || c.b == d.a || c.b == d.b {
		return
	}
	near := touching * s.size
	x, y := d.at.Sub(c.at), d.point(d.to, 0).Sub(c.at)
	if math.Abs(c.along.Cross(x)) > near || math.Abs(c.along.Cross(y)) > near {
		return
	}
	flip := math.Copysign(1, c.along.Dot(d.along))
	base := c.along.Dot(x)
	ends := [2]float64{base + flip*d.from, base + flip*d.to}
	from, to := max(c.from, min(ends[0], ends[1])), min(c.to, max(ends[0], ends[1]))
	if to-from <= beside*s.size {
		return
	}
	u, off := (from+to)/2, beside*s.size
	own, its := c.aside, [2]float64{flip * d.aside[0], flip * d.aside[1]}
	at := c.point(u, 0)
	pieces := []int{c.a, c.b, d.a, d.b}
	p, q := [2]int{c.a, c.b}, [2]int{d.a, d.b}
	lay := func(i, k int) literal { return s.orderAt(p[i], q[k], c.point(u, off*own[i])) }
	switch {
	case c.folded() && d.folded():
		if own[0] == its[0] {
			s.demand(condition{[]literal{lay(0, 0), lay(0, 1), lay(1, 0), lay(1, 1)}, notInterleaved, pieces, at})
		}
	case !c.folded() && !d.folded():
		k := 0
		if its[0] != own[0] {
			k = 1
		}
		s.demand(condition{[]literal{lay(0, k), lay(1, 1-k)}, sameSide, pieces, at})
	case c.folded(): // d runs on across it
		k := 0
		if its[0] != own[0] {
			k = 1
		}
		s.demand(condition{[]literal{lay(0, k), lay(1, k)}, sameSide, pieces, at})
	default:
		i := 0
		if own[0] != its[0] {
			i = 1
		}
		s.demand(condition{[]literal{lay(i, 0), lay(i, 1)}, sameSide, pieces, at})
	}
}
