package view

import (
	"math"
	"slices"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// nudge is how much further open or shut the design is taken to see how paper
// lies on paper: enough to part layers clearly, too little to move them past
// one another.
var nudge = geom.Degrees(1)

// layered orders fragments that lie in one plane, the lowest first as n points
// up. Only fragments that overlap have an order; where it runs in a circle,
// which real paper cannot, the first of the list goes lowest.
func (s *scene) layered(list []*fragment, n geom.Vec3) []*fragment {
	if len(list) < 2 {
		return list
	}
	sheets := make([]sheet, len(list))
	for i, g := range list {
		if s.watch.halted() {
			return list
		}
		sheets[i] = newSheet(g, &list[0].face.frame, s.size)
	}
	above := make([][]int, len(list)) // above[i] lies on i
	under := make([]int, len(list))   // how many not yet placed lie under i
	for i := range sheets {
		if s.watch.halted() {
			return list
		}
		for j := range i {
			switch c := s.compare(&sheets[j], &sheets[i], n); {
			case c > 0:
				above[i] = append(above[i], j)
				under[j]++
			case c < 0:
				above[j] = append(above[j], i)
				under[i]++
			}
		}
	}
	out := make([]*fragment, 0, len(list))
	placed := make([]bool, len(list))
	for len(out) < len(list) {
		pick := -1
		for i := range list {
			if !placed[i] && (pick < 0 || under[i] == 0 && under[pick] > 0) {
				pick = i
			}
		}
		placed[pick] = true
		out = append(out, list[pick])
		for _, j := range above[pick] {
			under[j]--
		}
	}
	return out
}

// sheet is a fragment in the coordinates of a plane that holds it.
type sheet struct {
	*fragment
	plane *geom.Frame
	rings [][]geom.Vec2
	box   geom.Box2
	// samples are points just inside all its corners and sides.
	samples []geom.Vec2
}

// justInside is the fraction of the model by which samples are off the edge:
// clear of rounding, smaller than anything cut from paper.
const justInside = 1e-4

func newSheet(g *fragment, plane *geom.Frame, size float64) sheet {
	s := sheet{fragment: g, plane: plane, box: geom.EmptyBox(), rings: make([][]geom.Vec2, len(g.rings))}
	for i, ring := range g.rings {
		s.rings[i] = make([]geom.Vec2, len(ring))
		for j, c := range ring {
			local := plane.Local(g.face.frame.At(c.at))
			s.rings[i][j] = geom.Vec2{X: local.X, Y: local.Y}
			s.box = s.box.Extend(s.rings[i][j])
		}
	}
	in := justInside * size
	add := func(p geom.Vec2) {
		if geom.RingsContain(s.rings, p) {
			s.samples = append(s.samples, p)
		}
	}
	for _, ring := range s.rings {
		for i, p := range ring {
			before, next := ring[(i+len(ring)-1)%len(ring)], ring[(i+1)%len(ring)]
			bisector := before.Sub(p).Unit().Add(next.Sub(p).Unit()).Unit().Mul(in)
			add(p.Add(bisector))
			add(p.Sub(bisector))
			across := next.Sub(p).Unit().Perp().Mul(in)
			middle := p.Lerp(next, 0.5)
			add(middle.Add(across))
			add(middle.Sub(across))
		}
	}
	return s
}

// compare is positive when a lies on b, negative when b lies on a, and zero
// when they do not overlap.
func (s *scene) compare(a, b *sheet, n geom.Vec3) float64 {
	if a.face == b.face ||
		a.box.Min.X > b.box.Max.X || b.box.Min.X > a.box.Max.X ||
		a.box.Min.Y > b.box.Max.Y || b.box.Min.Y > a.box.Max.Y {
		return 0
	}
	nudged := s.nudgedPose()
	here, hasA := s.frameIn(nudged, a.face)
	there, hasB := s.frameIn(nudged, b.face)
	known := hasA && hasB
	overlap, most := false, 0.0
	try := func(q geom.Vec2) {
		overlap = true
		if !known {
			return
		}
		if d := a.height(&here, q, n) - b.height(&there, q, n); math.Abs(d) > math.Abs(most) {
			most = d
		}
	}
	for _, q := range a.samples {
		if geom.RingsContain(b.rings, q) {
			try(q)
		}
	}
	for _, q := range b.samples {
		if geom.RingsContain(a.rings, q) {
			try(q)
		}
	}
	crossings(a.rings, b.rings, try)
	switch {
	case !overlap:
		return 0
	case math.Abs(most) > s.tolerance:
		return most
	}
	return s.compareByMaking(a.face, b.face, n)
}

// compareByMaking puts what is made later on the printed side of what is made
// earlier, and what lies behind a panel on the other side of all that lies on
// it.
func (s *scene) compareByMaking(a, b *face, n geom.Vec3) float64 {
	host, sideA, sideB := s.sides(a, b)
	if host >= 0 && (sideA < 0 || sideB < 0) {
		up := s.a.Panels[host].Printed * s.p.Panels[host].Normal().Dot(n)
		if sideA != sideB {
			return float64(sideA-sideB) * up
		}
		return s.compareBehind(a, b) * up
	}
	return s.compareInFront(a, b, n)
}

// compareBehind orders what lies behind one panel: later things lie further
// back, and the link of a strip behind the strip.
func (s *scene) compareBehind(a, b *face) float64 {
	ka, kb := s.madeAs(a), s.madeAs(b)
	if ka == kb {
		return float64(a.segment - b.segment)
	}
	return float64(kb - ka)
}

// madeAs is the number of the mechanism of a face in the order of making.
func (s *scene) madeAs(f *face) int { return slices.Index(s.a.Design.Order(), s.mechanism(f)) }

// sides finds the panel on which both faces are built, at any remove, and the
// side of it each is on: 1 on its printed side, -1 behind it, and 0 for the
// panel itself. host is -1 when there is no such panel.
func (s *scene) sides(a, b *face) (host, sideA, sideB int) {
	up, side := s.ancestors(a)
	down, other := s.ancestors(b)
	for i, panel := range up {
		if k := slices.Index(down, panel); k >= 0 {
			return panel, side[i], other[k]
		}
	}
	return -1, 0, 0
}

// ancestors lists the panels a face is built on, itself first where it is one,
// with the side of each that it is on.
func (s *scene) ancestors(f *face) (panels, sides []int) {
	if f.panel != noPanel {
		panels, sides = []int{f.panel}, []int{0}
	}
	m, behind := s.mechanism(f), f.panel == noPanel && s.a.Strips[f.strip].Behind || f.panel != noPanel && s.a.Panels[f.panel].Behind
	for m != kinematics.Spread {
		host := s.a.PanelIndex(s.a.Design.Mechanisms[m].On.Panel)
		if host < 0 {
			break // on a fold
		}
		side := 1
		if behind {
			side = -1
		}
		panels, sides = append(panels, host), append(sides, side)
		m, behind = s.a.Panels[host].Mechanism, s.a.Panels[host].Behind
	}
	return panels, sides
}

// compareInFront is compareByMaking where nothing lies behind anything.
func (s *scene) compareInFront(a, b *face, n geom.Vec3) float64 {
	if ga, gb := s.generationOf(a), s.generationOf(b); ga < gb || ga == gb && a.panel < b.panel {
		return -s.compareInFront(b, a, n)
	}
	return b.printed * b.normal.Dot(n)
}

// height is how high, along n, the paper of the sheet now at q is when it has
// moved to another frame.
func (h *sheet) height(moved *geom.Frame, q geom.Vec2, n geom.Vec3) float64 {
	local := h.face.frame.Local(h.plane.At(q))
	return moved.At(geom.Vec2{X: local.X, Y: local.Y}).Dot(n)
}

func (s *scene) nudgedPose() *kinematics.Pose {
	if s.nudged == nil {
		s.nudged = s.a.NewPose()
		drive := s.p.Drive
		if drive.Opening > math.Pi/2 {
			drive.Opening -= nudge
		} else {
			drive.Opening += nudge
		}
		s.a.PoseInto(s.nudged, drive)
	}
	return s.nudged
}

// crossings calls f where sides of a and b cross inside both.
func crossings(a, b [][]geom.Vec2, f func(geom.Vec2)) {
	for _, ra := range a {
		for i, p := range ra {
			d := ra[(i+1)%len(ra)].Sub(p)
			for _, rb := range b {
				for j, q := range rb {
					e := rb[(j+1)%len(rb)].Sub(q)
					det := d.Cross(e)
					if det == 0 {
						continue
					}
					t, u := q.Sub(p).Cross(e)/det, q.Sub(p).Cross(d)/det
					if t > justInside && t < 1-justInside && u > justInside && u < 1-justInside {
						f(p.Add(d.Mul(t)))
					}
				}
			}
		}
	}
}
