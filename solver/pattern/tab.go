package pattern

import (
	"math"
	"slices"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

const (
	// creaseClearance is how far a tab stays from every crease of its host that
	// moves, mm. Common practice: never glue across a moving crease.
	creaseClearance = 1.0
	// tabGap is the room between two tabs of one part that would meet, mm: a
	// strip of waste that still weeds out in one piece. Common practice.
	tabGap = 1.0
	// minTabTop is the least length of a tab's far edge, mm; a longer slope
	// would end in a sharp point that curls.
	minTabTop = 2.0
	// goodTabDepth is the depth below which a tab is made with steeper ends
	// rather than shallower, mm. Common practice: 5 at least.
	goodTabDepth = 5.0
	// minWeb is the least paper left between a cut and an edge or crease, mm,
	// or minWebCalipers thicknesses, unless the options say otherwise. Common
	// practice for cutters.
	minWeb         = 2.0
	minWebCalipers = 5.0
)

// tab is a base tab in the coordinates of its base line: x along the line from
// its start, y away from it into the tab. The polygon is convex, until a lock
// takes its neck out; its edge on the base line runs from (from, 0) to (to, 0).
type tab struct {
	polygon  []geom.Vec2
	from, to float64
	wings    [][2]geom.Vec2 // where the wings of a locking tab fold
}

func (t *tab) length() float64 { return t.to - t.from }

func (t *tab) depth() float64 {
	d := 0.0
	for _, p := range t.polygon {
		d = max(d, p.Y)
	}
	return d
}

// makeTab makes the tab along a stretch of a base line: a trapezoid whose ends
// slope by the joint's taper from square, cut off where it would leave the
// limits. ok is false when too little of the stretch is within them.
func makeTab(from, to float64, j *design.Joint, limits []halfPlane) (t tab, ok bool) {
	t.from, t.to = from, to
	for _, h := range limits {
		t.from, t.to = h.within(t.from, t.to)
	}
	if t.length() < minTabTop {
		return tab{}, false
	}
	depth, slope := tabDepth(t.length(), j)
	t.polygon = []geom.Vec2{
		{X: t.from}, {X: t.to},
		{X: t.to - depth*slope, Y: depth}, {X: t.from + depth*slope, Y: depth},
	}
	for _, h := range limits {
		t.polygon = h.clipped(t.polygon)
	}
	t.polygon = cleaned(t.polygon)
	return t, t.depth() > minTabDepth
}

// fitTab makes the tab along a stretch of a base line within its limits and on
// a host of any shape: along the longest part of it that is on the host, as
// deep as the host allows, and under a flap as deep as that covers.
func (m *maker) fitTab(b *baseFold, j *design.Joint, from, to float64, limits []halfPlane) (tab, bool) {
	host := m.a.Panels[b.host.Panel].Outline
	covered := m.coverOf(b, j)
	if convex(host) && covered == nil {
		if t, ok := makeTab(from, to, j, limits); !ok || m.clear(b, &t) {
			return t, ok
		}
	}
	frame := b.onHost(j.TabSide)
	from, to = longestInside(host, frame.origin, frame.along, from, to)
	fits := func(depth float64) (tab, bool) {
		t, ok := makeTab(from, to, j, append(slices.Clip(limits), halfPlane{geom.Vec2{Y: -1}, -depth}))
		return t, ok && t.inside(host, &frame) && (covered == nil || covered(&t)) && m.clear(b, &t)
	}
	best, ok := fits(j.TabDepth)
	if ok {
		return best, true
	}
	for least, most := 0.0, j.TabDepth; most-least > depthStep; {
		depth := (least + most) / 2
		if t, fit := fits(depth); fit {
			best, ok, least = t, true, depth
		} else {
			most = depth
		}
	}
	return best, ok
}

// clear tells whether a tab lies beside the paper of its own part and not on it,
// as it would where a sheet of many panels comes back towards the base line.
func (m *maker) clear(b *baseFold, t *tab) bool {
	frame, place := b.onPanel(), m.place[b.panel.Panel]
	path, outline := t.path(&frame, place), m.Parts[m.partOf[b.panel.Panel]].Outline
	if acrossLine(place.Apply(frame.origin), place.Dir(frame.along), path[0], outline[0]) {
		return true
	}
	both, err := geom.Intersection(path, outline)
	return err == nil && abs(both.Area()) <= sliver
}

// coverHem is how far a tab keeps inside the free edge of the flap that hides it,
// mm.
const coverHem = 1.0

// coverOf tells whether a tab under a flap is hidden by it when shut; nil for
// tabs that nothing has to hide.
func (m *maker) coverOf(b *baseFold, j *design.Joint) func(*tab) bool {
	if _, ok := m.a.Design.Mechanisms[m.a.Folds[b.index].Mechanism].Spec.(*design.Flap); !ok || j.TabSide == design.Outer {
		return nil
	}
	flap := m.a.Panels[b.panel.Panel].Outline
	frame := tabFrame{b.panel.Origin, b.panel.Along, b.panel.Away}
	return func(t *tab) bool {
		deeper := tab{from: t.from, to: t.to}
		for _, p := range t.polygon {
			if p.Y > weldTolerance {
				p.Y += coverHem
			}
			deeper.polygon = append(deeper.polygon, p)
		}
		return deeper.inside(flap, &frame)
	}
}

// depthStep is how finely the depth of a tab is fitted to its host, mm.
const depthStep = 0.05

// inside tells whether the tab lies on the host. Its base line may run along
// the host's edge.
func (t *tab) inside(host []geom.Vec2, f *tabFrame) bool {
	points := make([]geom.Vec2, len(t.polygon))
	for i, p := range t.polygon {
		points[i] = f.at(p)
	}
	for i, p := range points {
		d := points[(i+1)%len(points)].Sub(p)
		if len(outside(host, p, d.Unit(), 0, d.Norm())) > 0 {
			return false
		}
	}
	return true
}

// minTabDepth is the depth below which a tab cannot be folded at all, mm.
const minTabDepth = 0.5

// tabDepth is the depth of a tab and the slope of its ends, as run for rise. A
// short tab is shallower, so that its ends do not meet; below a good depth its
// ends are steeper instead.
func tabDepth(length float64, j *design.Joint) (depth, slope float64) {
	slope = math.Tan(float64(j.TabTaper))
	run := (length - minTabTop) / 2 // the most each end may take
	if slope*j.TabDepth <= run {
		return j.TabDepth, slope
	}
	depth = max(min(goodTabDepth, j.TabDepth), run/slope)
	return depth, min(slope, run/depth)
}

// within is the part of the interval from..to of the base line y = 0 in the
// half plane; empty when to < from.
func (h *halfPlane) within(from, to float64) (float64, float64) {
	switch {
	case h.n.X > parallelSlope:
		from = max(from, h.c/h.n.X)
	case h.n.X < -parallelSlope:
		to = min(to, h.c/h.n.X)
	case h.c > weldTolerance: // parallel to the base line, which is outside
		to = from - 1
	}
	return from, to
}

// parallelSlope is the sine of the angle below which a limit counts as parallel
// to the base line: over the longest line, 2000 mm, they then stay within a
// thousandth of weldTolerance.
const parallelSlope = weldTolerance / 1000 / 2000

// tabFrame carries the coordinates of a base line to a panel's.
type tabFrame struct{ origin, along, into geom.Vec2 }

func (f *tabFrame) at(p geom.Vec2) geom.Vec2 {
	return f.origin.Add(f.along.Mul(p.X)).Add(f.into.Mul(p.Y))
}

// limit is the half plane beside the line through q with normal n, at a
// distance c from it, seen in the base line's coordinates.
func (f *tabFrame) limit(q, n geom.Vec2, c float64) halfPlane {
	return halfPlane{geom.Vec2{X: n.Dot(f.along), Y: n.Dot(f.into)}, c - n.Dot(f.origin.Sub(q))}
}

// onHost is the frame of the tab on the host panel: under the mechanism, or
// away from it.
func (b *baseFold) onHost(side design.Side) tabFrame {
	into := b.host.Away
	if side == design.Inner {
		into = into.Mul(-1)
	}
	return tabFrame{b.host.Origin, b.host.Along, into}
}

// onPanel is the frame of the tab beside its own panel, as cut.
func (b *baseFold) onPanel() tabFrame {
	return tabFrame{b.panel.Origin, b.panel.Along, b.panel.Away.Mul(-1)}
}

// hostLimits are the half planes the tab keeps within on its host: its outline,
// and every crease of the host at a distance.
func (m *maker) hostLimits(b *baseFold, j *design.Joint) []halfPlane {
	frame := b.onHost(j.TabSide)
	fromEdge, fromCrease := 0.0, creaseClearance
	if j.Fix == design.Slotted {
		web := m.web() + m.o.SlotLengthClearance/2
		fromEdge, fromCrease = web, web
	}
	var limits []halfPlane
	host := b.host.Panel
	outline := m.a.Panels[host].Outline
	if !convex(outline) {
		outline = nil // for fitTab
	}
	inward := 1.0
	if geom.PolygonArea(outline) < 0 {
		inward = -1
	}
	for i, p := range outline {
		q := outline[(i+1)%len(outline)]
		limits = append(limits, frame.limit(p, q.Sub(p).Unit().Perp().Mul(inward), fromEdge))
	}
	middle := frame.at(geom.Vec2{X: b.length / 2})
	for _, face := range m.movingLines(host, b.index) {
		n := face.Along.Perp()
		if abs(middle.Sub(face.Origin).Dot(n)) < weldTolerance && abs(frame.along.Dot(n)) < weldTolerance {
			continue // the tab's own line: the mechanism stands on this crease
		}
		if middle.Sub(face.Origin).Dot(n) < 0 {
			n = n.Mul(-1)
		}
		limits = append(limits, frame.limit(face.Origin, n, fromCrease))
	}
	return limits
}

// convex tells whether a polygon turns one way only.
func convex(polygon []geom.Vec2) bool {
	var turn float64
	n := len(polygon)
	for i := range polygon {
		a, b, c := polygon[i], polygon[(i+1)%n], polygon[(i+2)%n]
		if c := b.Sub(a).Cross(c.Sub(b)); abs(c) > weldTolerance {
			if c*turn < 0 {
				return false
			}
			turn = c
		}
	}
	return true
}

// movingLines lists the lines of a panel that the tab of a fold must not cross:
// those along which the panel folds against the panels and tabs it is one piece
// with, and the fold its mechanism stands on, which may be the base line of
// something else on the panel.
func (m *maker) movingLines(panel, tabFold int) []*kinematics.Face {
	var list []*kinematics.Face
	stoodOn := m.a.Design.Mechanisms[m.a.Folds[tabFold].Mechanism].On.Fold
	for i := range m.a.Folds {
		f := &m.a.Folds[i]
		glued := !m.inSheet[i] && f.Panels[0] == panel
		if i == tabFold || glued && f.ID != stoodOn {
			continue
		}
		for _, face := range []*kinematics.Face{&f.Left, &f.Right} {
			if face.Panel == panel {
				list = append(list, face)
			}
		}
	}
	return list
}

// siblingLimit keeps two tabs of one part apart where their base lines meet at
// an apex: each on its own side of the bisector of the wedge outside the
// panels. Base lines e, f from an apex are mirror images in the line across
// e - f, which is that bisector.
func (m *maker) siblingLimit(b, other *baseFold) (halfPlane, bool) {
	if b.index == other.index || m.partOf[b.panel.Panel] != m.partOf[other.panel.Panel] {
		return halfPlane{}, false
	}
	mine, its := m.place[b.panel.Panel], m.place[other.panel.Panel]
	apex := mine.Apply(b.panel.Origin)
	if apex.Sub(its.Apply(other.panel.Origin)).Norm() > weldTolerance {
		return halfPlane{}, false
	}
	frame := b.onPanel()
	frame = tabFrame{apex, mine.Dir(frame.along), mine.Dir(frame.into)}
	apart := frame.along.Sub(its.Dir(other.panel.Along))
	if apart.Norm() < weldTolerance {
		return halfPlane{}, false // one line: they take turns on it
	}
	n := apart.Unit()
	if n.Dot(frame.into) >= 0 {
		return halfPlane{}, false // the wedge is more than 180 degrees: they part
	}
	return frame.limit(apex, n, tabGap/2), true
}
