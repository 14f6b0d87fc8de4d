package kinematics

import (
	"cmp"
	"math"
	"slices"

	"foldwright/solver/geom"
)

// MeetingKind tells in what two panels touch throughout the motion.
type MeetingKind uint8

const (
	// MeetInPlane: they stay in one plane, and lie on each other where they overlap.
	MeetInPlane MeetingKind = iota
	// MeetInLine: they share a segment, as on both sides of a fold.
	MeetInLine
	// MeetInPoint: they share a point, as the panels of a V share the apex with both
	// faces they stand on.
	MeetInPoint
	// MeetWithEdge: an edge of the first slides over the second.
	MeetWithEdge
)

// Meeting is where two panels touch by construction, whatever the drivers.
type Meeting struct {
	Kind   MeetingKind
	Panels [2]int
	// Ends are, by panel, the ends of the segment in its own (u, v), alike for a
	// point. They are zero for what meets in a plane, and for the second of what
	// meets with an edge, on which the edge has no fixed place.
	Ends [2][2]geom.Vec2
}

// meetingTolerance is how near, as a fraction of the design's size, two places of a
// panel must be to be one, and how near in radians two lines to be parallel: above the
// rounding of measurements carried over a few joints (1e-15), far below anything that
// can be cut. What is farther apart does not meet by construction.
const meetingTolerance = 1e-12

// Meetings lists where panels touch by construction, pair by pair in the order of the
// panels. A pair may share several segments and points, and has an entry for each.
//
// What two panels share keeps its place in both. It is followed from joint to joint: a
// fold keeps its line, so what is carried across it is the part of it on that line,
// across two folds in a row where their lines cross, or the line of both; glue carries
// all, a pivot and a ball their point, a slide nothing. What comes through counts if
// there is paper of both at it. An opening cut from a panel counts as paper.
func (a *Assembly) Meetings() []Meeting {
	f := &meetingFinder{
		a: a, tolerance: meetingTolerance * a.Design.Size(),
		joints: make([][]jointSide, len(a.Panels)), plane: a.planes(),
	}
	for i := range a.joints {
		for side, face := range a.joints[i].Faces {
			f.joints[face.Panel] = append(f.joints[face.Panel], jointSide{&a.joints[i], side})
		}
	}
	for panel := range a.Panels {
		f.search(panel)
	}
	f.findEdges()
	slices.SortStableFunc(f.found, func(x, y Meeting) int { return slices.Compare(x.Panels[:], y.Panels[:]) })
	return f.found
}

// planes numbers the panels by the plane they stay in.
func (a *Assembly) planes() []int {
	plane := make([]int, len(a.Panels))
	for i := range plane {
		plane[i] = i
	}
	for i := range a.joints {
		j := &a.joints[i]
		if j.Kind == Hinged || j.Kind == Balled {
			continue
		}
		from, to := plane[j.Faces[1].Panel], plane[j.Faces[0].Panel]
		for k := range plane {
			if plane[k] == from {
				plane[k] = to
			}
		}
	}
	return plane
}

// meetingFinder looks for what panels share.
type meetingFinder struct {
	a         *Assembly
	tolerance float64
	joints    [][]jointSide // by panel
	plane     []int         // by panel
	found     []Meeting

	path []int     // panels come through, from the one looked from
	here []Meeting // found from that one
}

// jointSide is a joint as one of its panels has it.
type jointSide struct {
	*Joint
	side int
}

func (j jointSide) near() *Face { return &j.Faces[j.side] }
func (j jointSide) far() *Face  { return &j.Faces[1-j.side] }

// carried is what the panel of own shares with that of there: their planes, the lines
// along the two faces from lo to hi, or their origins.
type carried struct {
	kind       MeetingKind
	own, there Face
	lo, hi     float64
}

// search finds what a panel shares with the later ones.
func (f *meetingFinder) search(panel int) {
	whole := Face{Panel: panel, Along: geom.Vec2{X: 1}, Away: geom.Vec2{Y: 1}}
	f.here = f.here[:0]
	f.follow(carried{kind: MeetInPlane, own: whole, there: whole})
	for other := panel + 1; other < len(f.plane); other++ {
		if f.plane[other] == f.plane[panel] {
			f.here = append(f.here, Meeting{Kind: MeetInPlane, Panels: [2]int{panel, other}})
		}
	}
	slices.SortStableFunc(f.here, func(x, y Meeting) int { return cmp.Compare(x.Kind, y.Kind) })
	first := len(f.found)
	for _, m := range f.here {
		if !slices.ContainsFunc(f.found[first:], func(n Meeting) bool { return f.covers(&n, &m) }) {
			f.found = append(f.found, m)
		}
	}
}

// covers tells whether the second meeting is part of the first.
func (f *meetingFinder) covers(n, m *Meeting) bool {
	if n.Panels != m.Panels {
		return false
	}
	off := 0.0
	for _, end := range m.Ends[0] {
		off = max(off, geom.PointSegmentDistance(end, n.Ends[0][0], n.Ends[0][1]))
	}
	return n.Kind == MeetInPlane || off <= f.tolerance
}

func (f *meetingFinder) follow(c carried) {
	panel := c.there.Panel
	if slices.Contains(f.path, panel) || !f.record(c) {
		return
	}
	f.path = append(f.path, panel)
	for _, j := range f.joints[panel] {
		if next, ok := f.kept(c, j); ok {
			next.there = moved(next.there, j.near(), j.far())
			f.follow(next)
		}
	}
	f.path = f.path[:len(f.path)-1]
}

// record notes what is carried; false where the panel looked from has nothing at it.
func (f *meetingFinder) record(c carried) bool {
	own, there := &f.a.Panels[c.own.Panel], &f.a.Panels[c.there.Panel]
	m := Meeting{Kind: c.kind, Panels: [2]int{c.own.Panel, c.there.Panel}}
	switch c.kind {
	case MeetInPoint:
		if !f.has(own, c.own.Origin) {
			return false
		}
		if !f.has(there, c.there.Origin) {
			return true
		}
	case MeetInLine:
		lo, hi := f.within(own, c.own, c.lo, c.hi)
		if lo, hi = f.within(there, c.there, lo, hi); hi-lo < -f.tolerance {
			return true
		}
		if hi-lo <= f.tolerance {
			m.Kind, hi = MeetInPoint, lo
		}
		c.lo, c.hi = lo, hi
	default:
		return true
	}
	if c.there.Panel > c.own.Panel {
		m.Ends = [2][2]geom.Vec2{{c.own.at(c.lo, 0), c.own.at(c.hi, 0)}, {c.there.at(c.lo, 0), c.there.at(c.hi, 0)}}
		f.here = append(f.here, m)
	}
	return true
}

// has tells whether the panel has paper at a place.
func (f *meetingFinder) has(p *Panel, at geom.Vec2) bool {
	return geom.PolygonContains(p.Outline, at) || geom.PolygonDistance(p.Outline, at) <= f.tolerance
}

// within cuts a part of the line of a face down to where the panel's paper begins and
// ends on it.
func (f *meetingFinder) within(p *Panel, line Face, lo, hi float64) (from, to float64) {
	across := line.Along.Perp()
	from, to = math.Inf(1), math.Inf(-1)
	take := func(u float64) { from, to = min(from, u), max(to, u) }
	for i, a := range p.Outline {
		b := p.Outline[(i+1)%len(p.Outline)]
		a, b = a.Sub(line.Origin), b.Sub(line.Origin)
		above, below := a.Dot(across), b.Dot(across)
		if above*below < 0 {
			take(a.Lerp(b, above/(above-below)).Dot(line.Along))
		}
		if above <= f.tolerance && above >= -f.tolerance {
			take(a.Dot(line.Along))
		}
	}
	return max(from, lo), min(to, hi)
}

// kept is the part of what is carried that keeps its place in a joint, still in the
// panel before it.
func (f *meetingFinder) kept(c carried, j jointSide) (carried, bool) {
	switch {
	case j.Kind == Glued:
		return c, true
	case j.Kind == Sliding:
		return c, false
	case c.kind == MeetInPlane:
		c.own, c.there = moved(*j.near(), &c.there, &c.own), *j.near()
		c.kind = MeetInPoint
		if j.Kind == Hinged {
			fold := &f.a.Folds[j.Fold]
			c.kind, c.lo, c.hi = MeetInLine, fold.Start, fold.Length
		}
		return c, true
	case c.kind == MeetInLine && j.Kind == Hinged:
		return f.crossed(c, j)
	case c.kind == MeetInLine:
		at := j.near().Origin.Sub(c.there.Origin)
		return c.point(at.Dot(c.there.Along)), f.small(at.Dot(c.there.Away))
	case j.Kind == Hinged:
		return c, f.small(c.there.Origin.Sub(j.near().Origin).Dot(j.near().Away))
	default:
		return c, c.there.Origin.Sub(j.near().Origin).Norm() <= f.tolerance
	}
}

// crossed is where a line crosses that of a fold; or, when they are one, the part of it
// that is both.
func (f *meetingFinder) crossed(c carried, j jointSide) (carried, bool) {
	line, fold := &c.there, j.near()
	gap := fold.Origin.Sub(line.Origin)
	sine := line.Along.Cross(fold.Along)
	if sine > meetingTolerance || sine < -meetingTolerance {
		return c.point(gap.Cross(fold.Along) / sine), true
	}
	ends := [2]float64{f.a.Folds[j.Fold].Start, f.a.Folds[j.Fold].Length}
	for k, u := range ends {
		ends[k] = fold.at(u, 0).Sub(line.Origin).Dot(line.Along)
	}
	c.lo, c.hi = max(c.lo, min(ends[0], ends[1])), min(c.hi, max(ends[0], ends[1]))
	return c, f.small(gap.Dot(line.Away)) && c.hi-c.lo >= -f.tolerance
}

func (f *meetingFinder) small(length float64) bool {
	return length <= f.tolerance && length >= -f.tolerance
}

// point is the point of a line that is carried, u along it.
func (c carried) point(u float64) carried {
	return carried{kind: MeetInPoint, own: c.own.moved(u, 0), there: c.there.moved(u, 0)}
}

// moved takes a face that lies to `from` as it will lie to `to`, in the panel of that.
func moved(f Face, from, to *Face) Face {
	in := func(d geom.Vec2) geom.Vec2 { return to.dir(d.Dot(from.Along), d.Dot(from.Away)) }
	return Face{
		Panel: to.Panel, Origin: to.Origin.Add(in(f.Origin.Sub(from.Origin))),
		Along: in(f.Along), Away: in(f.Away),
	}
}

// edgeSlider is a poser with a panel whose edge slides over another.
type edgeSlider interface {
	// slidingEdge is the panel, whose v = 0 slides, and what it slides over.
	slidingEdge() (panel, over int)
}

func (t *slideTent) slidingEdge() (panel, over int)  { return t.far, t.page }
func (t *pulledTent) slidingEdge() (panel, over int) { return t.far, t.host }

func (f *meetingFinder) findEdges() {
	for i := range f.a.steps {
		slider, ok := f.a.steps[i].poser.(edgeSlider)
		if !ok {
			continue
		}
		panel, over := slider.slidingEdge()
		line := foot(panel)
		lo, hi := f.within(&f.a.Panels[panel], line, math.Inf(-1), math.Inf(1))
		f.found = append(f.found, Meeting{
			Kind: MeetWithEdge, Panels: [2]int{panel, over},
			Ends: [2][2]geom.Vec2{{line.at(lo, 0), line.at(hi, 0)}},
		})
	}
}
