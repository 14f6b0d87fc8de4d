package kinematics

import (
	"math"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// linkage poses a free set of panels joined by hinges and glued to hosts, by
// closing its loops numerically.
//
// Frames. Every joint is a line, or a point, of two panels. On each of the two
// it is given in (u, v) of the panel by its middle m, the direction d along it
// and the direction w away from it; d is the same direction of space on both. A
// glued edge joins a host panel to a panel of the linkage.
//
// Unknowns. The joints form a graph with the hosts as one node. A spanning tree
// of it, grown from the hosts by the shortest ways, carries the unknowns: for a
// hinge or glued edge one angle, the dihedral θ of the fold on its working
// side, 0 to 2π, the same as Pose.FoldAngle; for a glued point the turn of the
// panel against its host, a unit quaternion. With ± for a parent that is the
// fold's left or right face,
//
//	w_child = cos θ·w_parent ± sin θ·(d × w_parent)
//
// so every joint of the tree holds exactly, whatever the unknowns.
//
// Equations. Each joint left over closes a loop. With a the one panel and b the
// other, n the normal and ℓ half the joint's length,
//
//	m_b - m_a = 0        3 equations, mm
//	ℓ·(d_b·w_a) = 0      2 equations, mm, left out for a point
//	ℓ·(d_b·n_a) = 0
//
// Five equations pin a hinge: the two end points coincide, six equations of
// which one, along the line, says the same as the edges' lengths.
//
// Solution. Newton's method with the step of least norm through a
// rank-revealing QR factorization (Golub and Van Loan, Matrix Computations,
// 5.4 and 5.5): what the loops leave free stays still, and loops that say the
// same twice, as in a parallelogram or a box, do no harm. The way from one
// opening to the next is worked out at compile time (linkagePath); a pose starts
// from it, so poses depend on the driver values alone.
//
// Mobility. The formula M = 6·(N-1-J) + Σf (Kutzbach) counts freedoms as if all
// equations were independent. They rarely are in paper: axes through one point
// or in parallel repeat each other. The truth is the rank of the equations'
// derivative, which LinkageReport gives.
//
// Singular. Shut flat, and wherever the derivative loses rank: two closures
// meet there. Next to the ends of the way the pose is extrapolated from where
// the derivative still has full rank.
type linkage struct {
	mechanism int
	host      hostFold
	first     int // panel; the others follow
	panels    int
	tree      []linkJoint // parents before children
	loops     []linkJoint
	folds     []int // in the assembly
	unknowns  int   // of the tree: one a fold, three a ball
	numbers   int   // the tree is described by: one a fold, four a ball
	equations int   // of the loops
	size      float64
	work      int // index among the workspaces of a pose

	path   linkagePath
	driven bool // a host is also moved by hand
}

// foldRounding is half an angle, in radians, below which a fold counts as
// exactly shut, or flat, at the very ends of the way. Angles are good to 1e-9
// there, and what stands on a fold that is flat when the book is shut must not
// take the remainder for a fold turned inside out.
const foldRounding = 1e-8

// linkJoint is a joint between panels a and b of the assembly. In the tree, a
// is the parent.
type linkJoint struct {
	a, b   linkLine
	ball   bool
	half   float64 // half the length of the line, mm
	turn   float64 // ±1, of the tree: +1 when the parent is the fold's left face
	number int     // where its numbers start, of the tree
	column int     // where its unknowns start, of the tree
	fold   int     // in the assembly; -1 for a ball
	// chain lists the joints of the tree that move one end of a loop and not
	// the other, with the sign of their effect on b - a.
	chain []linkEffect
}

// linkLine is a joint as one panel has it.
type linkLine struct {
	panel       int
	middle      geom.Vec2
	along, away geom.Vec2
	handed      float64 // of along and away: +1 as u and v, -1 mirrored
	side        hostSide
}

// hostSide is the face of the fold stood on that a line is glued to.
type hostSide int8

const (
	noSide    hostSide = 0 // a panel by name
	leftSide  hostSide = -1
	rightSide hostSide = 1
)

type linkEffect struct {
	joint int
	sign  float64
}

func compileLinkage(c *compiler, i int, m *design.Mechanism, spec *design.Linkage) poser {
	l := &linkage{
		mechanism: i,
		host:      c.hostFold(m.On),
		first:     len(c.Panels),
		panels:    len(spec.Panels),
		work:      len(c.linkages),
		size:      c.Design.Size(),
	}
	for _, p := range spec.Panels {
		index := c.addPanel(i, m.ID+"."+p.ID, geom.PolylinePath(p.Outline, true))
		c.Panels[index].Printed = 1
		for _, q := range p.Outline {
			l.size = max(l.size, q.Norm())
		}
	}
	l.grow(l.joints(c, i, m, spec))
	l.path = findPath(c, l, spec.Start)
	c.linkages = append(c.linkages, l)
	return l
}

// joints makes the folds of the linkage, and the joints in the order of the
// document: hinges, then glue.
func (l *linkage) joints(c *compiler, i int, m *design.Mechanism, spec *design.Linkage) []linkJoint {
	var list []linkJoint
	for k := range spec.Hinges {
		h := &spec.Hinges[k]
		a := l.edgeFace(spec, h.Between[0], false)
		b := l.edgeFace(spec, h.Between[1], !spec.SameWay(h))
		half := (a.half + b.half) / 2
		f := Fold{
			ID: m.ID + "." + h.ID, Mechanism: i, Role: RidgeFold,
			Length: 2 * half,
			Panels: [2]int{a.panel, b.panel},
		}
		// Seen from the reverse of the first panel, it lies to the right when
		// along, away turn as u, v do.
		f.Left, f.Right = b.face(half), a.face(half)
		if a.handed < 0 {
			f.Left, f.Right = f.Right, f.Left
		}
		list = append(list, l.addJoint(c, f, a.linkLine, b.linkLine, half))
	}
	for k := range spec.Glue {
		g := &spec.Glue[k]
		host := glueHost(c, l, g)
		if g.Edge < 0 {
			list = append(list, linkJoint{
				a:    linkLine{panel: host.panel, middle: host.at(g.At[0]), side: host.side},
				b:    linkLine{panel: l.first + g.Panel, middle: g.Point},
				ball: true, fold: -1,
			})
			continue
		}
		b := l.edgeFace(spec, design.LinkageEdge{Panel: g.Panel, Edge: g.Edge}, false)
		from, to := host.at(g.At[0]), host.at(g.At[1])
		a := linkLine{panel: host.panel, middle: from.Lerp(to, 0.5), along: to.Sub(from).Unit(), side: host.side}
		// The panel's printed face is up, so it is on the left when along,
		// away turn as u, v do, and the host lies on the other side, away so
		// that its own face is up too.
		a.handed = host.up
		if b.handed > 0 {
			a.handed = -host.up
		}
		a.away = a.along.Perp().Mul(a.handed)
		f := Fold{
			ID: m.ID + "." + g.ID, Mechanism: i, Role: BaseFold,
			Length: 2 * b.half,
			Panels: [2]int{a.panel, b.panel},
		}
		f.Left, f.Right = b.face(b.half), edgeFace{linkLine: a}.face(b.half)
		if b.handed < 0 {
			f.Left, f.Right = f.Right, f.Left
		}
		list = append(list, l.addJoint(c, f, a, b.linkLine, b.half))
	}
	return list
}

func (l *linkage) addJoint(c *compiler, f Fold, a, b linkLine, half float64) linkJoint {
	index := c.addFold(f)
	l.folds = append(l.folds, index)
	turn := -1.0
	if f.Left.Panel == a.panel {
		turn = 1
	}
	return linkJoint{a: a, b: b, half: half, turn: turn, fold: index}
}

// edgeFace is an edge as a joint.
type edgeFace struct {
	linkLine
	half float64
}

// edgeFace reads an edge of one of the linkage's panels. Away is into the
// panel; backwards runs along the edge against its own direction.
func (l *linkage) edgeFace(spec *design.Linkage, e design.LinkageEdge, backwards bool) edgeFace {
	from, to := spec.Edge(e)
	along := to.Sub(from)
	f := edgeFace{half: along.Norm() / 2}
	f.panel, f.middle, f.along = l.first+e.Panel, from.Lerp(to, 0.5), along.Unit()
	f.handed = 1
	if geom.PolygonArea(spec.Panels[e.Panel].Outline) < 0 {
		f.handed = -1
	}
	f.away = f.along.Perp().Mul(f.handed)
	if backwards {
		f.along, f.handed = f.along.Mul(-1), -f.handed
	}
	return f
}

// face is the joint as one side of a fold, which starts half its length before
// the middle.
func (f edgeFace) face(half float64) Face {
	return Face{Panel: f.panel, Origin: f.middle.Sub(f.along.Mul(half)), Along: f.along, Away: f.away}
}

// linkHost is a panel that something is glued to.
type linkHost struct {
	panel int
	face  Face    // coordinates: along it and away from it
	up    float64 // the face glued on: +1 the one u × v points to
	side  hostSide
}

func (h linkHost) at(p geom.Vec2) geom.Vec2 { return h.face.at(p.X, p.Y) }

// glueHost finds what is glued to: a face of the fold stood on, on its working
// side; or a panel by name, on its printed face.
func glueHost(c *compiler, l *linkage, g *design.LinkageGlue) linkHost {
	switch g.To {
	case design.ToLeft:
		return linkHost{l.host.left.Panel, l.host.left, WorkingSide(&l.host.left, true), leftSide}
	case design.ToRight:
		return linkHost{l.host.right.Panel, l.host.right, WorkingSide(&l.host.right, false), rightSide}
	}
	panel, up := c.panels[g.To], 1.0
	if c.Panels[panel].Printed < 0 {
		up = -1
	}
	return linkHost{panel, Face{Panel: panel, Along: geom.Vec2{X: 1}, Away: geom.Vec2{Y: 1}}, up, noSide}
}

func (l *linkage) owns(panel int) bool { return panel >= l.first && panel < l.first+l.panels }

func (l *linkage) pose(p *Pose) Reach {
	w := &p.linkages[l.work]
	t := float64(p.Drive.Opening)
	beyond := LockedOpen
	if t < l.path.start {
		beyond = LockedShut
	}
	if !l.path.holds(t) {
		return beyond
	}
	l.path.guess(w.state, t)
	if !l.settle(p, w) {
		return beyond
	}
	l.poseFolds(p)
	return Reached
}

// settle brings a guess taken from the path to where the loops close. Next to
// the ends of the way, be it shut or a lock, the equations hardly feel the
// unknowns; the guess is better there than any step from it.
func (l *linkage) settle(p *Pose, w *linkWork) bool {
	copy(w.start, w.state)
	most, gap := maxDrift, l.path.beyond(float64(p.Drive.Opening))
	if gap > 0 {
		most = polish
	}
	if gap == 0 || gap > dullZone || l.driven {
		if l.converge(p, w, poseIterations) && (l.driven || l.apart(w.start, w.state) <= most) {
			return true
		}
		copy(w.state, w.start)
	}
	l.place(p, w)
	return l.residual(p, w) <= looseResidual*l.size
}

// poseFolds fills in the folds that something stands on.
func (l *linkage) poseFolds(p *Pose) {
	atEnd := l.path.beyond(float64(p.Drive.Opening)) > 0
	for _, f := range l.folds {
		if !p.a.hinged[f] {
			continue
		}
		fold := &p.a.Folds[f]
		left, right := &p.Panels[fold.Left.Panel], &p.Panels[fold.Right.Panel]
		h := makeHinge(
			left.At(fold.Left.Origin), left.Dir(fold.Left.Along),
			left.Dir(fold.Left.Away), right.Dir(fold.Right.Away),
		)
		if atEnd && math.Abs(h.Cos) < foldRounding {
			h.Cos, h.Sin = 0, 1
		}
		if atEnd && h.Sin < foldRounding {
			h.Sin = 0
		}
		p.hinges[f] = h
	}
}

// apart is the greatest difference between two states, in radians.
func (l *linkage) apart(s, t []float64) float64 {
	most := 0.0
	for i := range s {
		most = math.Max(most, math.Abs(s[i]-t[i]))
	}
	return most
}
