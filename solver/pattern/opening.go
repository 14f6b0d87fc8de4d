package pattern

import (
	"fmt"
	"math"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// Web is the least paper left beside a cut unless the options say otherwise, mm.
// Common practice for cutters.
func Web(d *design.Design) float64 { return max(minWeb, minWebCalipers*d.Paper.Caliper) }

// web is the least paper left beside a cut, mm.
func (m *maker) web() float64 {
	if m.o.MinWeb > 0 {
		return m.o.MinWeb
	}
	return Web(m.a.Design)
}

// cutName is what a problem calls a cut in a host, and the field to change.
type cutName struct {
	mechanism   int
	field, what string
}

// room is how a closed cut lies on a host panel: how far it reaches past the
// panel, or else how much paper it leaves, and to what. The cut is given in the
// panel's coordinates and as it lies in the part.
func (m *maker) room(host int, path, cut geom.Path) (past, left float64, beside string) {
	panel := &m.a.Panels[host]
	ring := path.Flatten(flatTolerance)[0]
	for _, p := range ring {
		if !geom.PolygonContains(panel.Outline, p) {
			past = max(past, geom.PolygonDistance(panel.Outline, p))
		}
	}
	left, beside = geom.RingDistance(ring, panel.Outline), "the edge of "+panel.ID
	part := &m.Parts[m.partOf[host]]
	inPart := cut.Flatten(flatTolerance)[0]
	if d := m.openings(m.partOf[host]).within(inPart, left); d < left {
		left, beside = d, "another cut in "+part.Name
	}
	return past, left, beside
}

// fits tells whether a cut lies on a host panel with the least web all round.
func (m *maker) fits(host int, path geom.Path) bool {
	past, left, _ := m.room(host, path, path.Transform(m.place[host]))
	return past <= weldTolerance && left >= m.web()-weldTolerance
}

// opening is a closed cut in a host panel, given in the panel's coordinates and
// brought to its part. ok is false, and the fault reported, when it is not
// wholly on the panel: then it must not be cut. A narrow web is reported and cut
// all the same.
func (m *maker) opening(host int, path geom.Path, name cutName) (cut geom.Path, ok bool) {
	cut = anticlockwisePath(path.Transform(m.place[host]))
	past, left, beside := m.room(host, path, cut)
	if past > weldTolerance {
		m.reportLength(CodeSlotOffPanel, name.mechanism, name.field, past,
			fmt.Sprintf("%s reaches %s past the edge of %s and is not cut", name.what, m.length(past), m.a.Panels[host].ID))
		return nil, false
	}
	if web := m.web(); left < web-weldTolerance {
		m.told = append(m.told, told{m.partOf[host], cut})
		m.reportLength(CodeNarrowWeb, name.mechanism, name.field, web-left,
			fmt.Sprintf("%s leaves %s of paper to %s, which tears; move it %s away", name.what, m.length(left), beside, m.length(web-left)))
	}
	m.opened = append(m.opened, opened{m.partOf[host], cut, name})
	return cut, true
}

// opened is a cut made in a host.
type opened struct {
	part int
	cut  geom.Path
	name cutName
}

// told is a cut in a part that was reported for the paper it leaves.
type told struct {
	part int
	cut  geom.Path
}

// checkOpened reports cuts that take the paper from where something is glued.
func (m *maker) checkOpened() {
	for i := range m.opened {
		o := &m.opened[i]
		part := &m.Parts[o.part]
		box := o.cut.Bounds()
		for k := range part.Glue {
			g := &part.Glue[k]
			if !box.Overlaps(g.Path.Bounds()) {
				continue
			}
			if lost, err := geom.Intersection(o.cut, g.Path); err != nil || abs(lost.Area()) < sliver {
				continue
			}
			m.report(CodeCutInGlue, o.name.mechanism, o.name.field,
				fmt.Sprintf("%s cuts into the place where %s is glued, at %s", o.name.what, Spaced(g.Part), g.Label))
		}
	}
}

// cutHole cuts a hole in a host panel.
func (m *maker) cutHole(host int, path geom.Path, name cutName) bool {
	cut, ok := m.opening(host, path, name)
	if ok {
		part := &m.Parts[m.partOf[host]]
		part.Holes = append(part.Holes, cut.Reverse()...)
	}
	return ok
}

// cutSlot cuts a slot that a part moves along.
func (m *maker) cutSlot(host int, path geom.Path, label, joint string, name cutName) {
	if cut, ok := m.opening(host, path, name); ok {
		part := &m.Parts[m.partOf[host]]
		part.Slots = append(part.Slots, Slot{label, joint, cut})
	}
}

// openRings are everything cut out of a part, as rings.
type openRings struct {
	of    []geom.Contour // what they were flattened from
	rings [][]geom.Vec2
	boxes []geom.Box2
}

// openings are the rings of everything cut out of a part. They are kept, and
// flattened again from where the part has changed.
func (m *maker) openings(part int) *openRings {
	for len(m.open) <= part {
		m.open = append(m.open, openRings{})
	}
	o, n := &m.open[part], 0
	add := func(p geom.Path) {
		for i := range p {
			if n < len(o.of) && sameContour(&o.of[n], &p[i]) {
				n++
				continue
			}
			ring := p[i : i+1].Flatten(flatTolerance)[0]
			o.of = append(o.of[:n], p[i])
			o.rings = append(o.rings[:n], ring)
			o.boxes = append(o.boxes[:n], ringBox(ring))
			n++
		}
	}
	add(m.Parts[part].Holes)
	for i := range m.Parts[part].Slots {
		add(m.Parts[part].Slots[i].Path)
	}
	o.of, o.rings, o.boxes = o.of[:n], o.rings[:n], o.boxes[:n]
	return o
}

// sameContour tells whether two contours are one and the same, not only equal.
func sameContour(a, b *geom.Contour) bool {
	return len(a.Segments) == len(b.Segments) && len(a.Segments) > 0 && &a.Segments[0] == &b.Segments[0]
}

// within is the distance from a ring to the nearest of the openings, or the
// limit when that is less.
func (o *openRings) within(ring []geom.Vec2, limit float64) float64 {
	box := ringBox(ring)
	for i, other := range o.rings {
		if box.Gap(o.boxes[i]) < limit {
			limit = min(limit, geom.RingDistance(ring, other))
		}
	}
	return limit
}

// arcSlot is the slot swept by a round pin on a circle about the origin: its
// middle line runs from one angle to another, its ends are half circles.
func arcSlot(radius, half float64, from, to geom.Angle) geom.Path {
	from, to = min(from, to), max(from, to)
	middle := func(a geom.Angle) geom.Vec2 {
		sin, cos := a.Sincos()
		return geom.Vec2{X: radius * cos, Y: radius * sin}
	}
	pieces := []geom.Path{
		geom.CircularArc(geom.Vec2{}, radius+half, from, to-from),
		geom.CircularArc(middle(to), half, to, math.Pi),
		geom.CircularArc(geom.Vec2{}, radius-half, to, from-to),
		geom.CircularArc(middle(from), half, from+math.Pi, math.Pi),
	}
	out := geom.Contour{Start: pieces[0][0].Start, Closed: true}
	for _, p := range pieces {
		if len(p) > 0 { // a turn of nothing has no arc
			out.Segments = append(out.Segments, p[0].Segments...)
		}
	}
	out.Segments[len(out.Segments)-1].To = out.Start // to the last bit
	return geom.Path{out}
}

// capsule is the area within a distance of a line, anticlockwise.
func capsule(a, b geom.Vec2, half float64) geom.Path {
	angle := geom.Angle(math.Atan2(b.Y-a.Y, b.X-a.X))
	far := geom.CircularArc(b, half, angle-math.Pi/2, math.Pi)[0]
	near := geom.CircularArc(a, half, angle+math.Pi/2, math.Pi)[0]
	out := geom.Contour{Start: far.Start, Closed: true, Segments: far.Segments}
	out.Segments = append(out.Segments, geom.Segment{Kind: geom.Line, To: near.Start})
	out.Segments = append(out.Segments, near.Segments...)
	return geom.Path{out}
}
