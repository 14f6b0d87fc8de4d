package pattern

import (
	"fmt"
	"math"
	"slices"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

const (
	// notchRadius is the radius of the bites in the rim of a wheel with clicks,
	// mm: the thumb feels them, and a mark it would not. Below the least radius
	// it feels nothing and a blade cannot follow. From memory.
	notchRadius, leastBite = 1.5, 0.5
	// rimShows is how far a disc must stand out past the paper of its host for a
	// thumb to turn it there, mm. From memory.
	rimShows = 5.0
	// thumbIn and thumbOut are how far a thumb slot goes inside the rim of the
	// disc and beyond it, mm, and thumbLong how long it is along the rim, to the
	// middles of its round ends. From memory.
	thumbIn, thumbOut, thumbLong = 7.0, 2.0, 15.0
	// thumbSteps is the number of directions tried for the thumb slot.
	thumbSteps = 24
	// tickLong is the length of the ticks at the zero of a turn, mm.
	tickLong = 4.0
)

// addWheelParts makes the disc, in which the hole and the bites are cut, and its
// hub, which goes down through host and disc and is glued behind the disc: it
// turns with the disc in the hole of the host.
func (m *maker) addWheelParts(mechanism, disc int, spec *design.Wheel) {
	part := &m.Parts[disc]
	place := part.Panels[0].Place
	part.setShape(discShape(spec.Radius, spec.Detents).Transform(place))
	part.bored(spec.PivotHole, place.T)
	part.Guides = tick(spec.Radius-2*notchRadius-tickLong, spec.Radius-2*notchRadius, 0).Transform(place)
	if h, ok := m.wheelHub(spec); ok {
		m.addHub(part.ID+".hub", mechanism, &h)
	}
}

// wheelHub is the hub of a wheel; ok is false when there is no room for one of
// paper.
func (m *maker) wheelHub(spec *design.Wheel) (hub, bool) {
	h, ok := m.newHub(spec.PivotHole, 2)
	return h, ok && h.reach() <= spec.Radius-2*notchRadius
}

// biteRadius is the radius of the bites in a rim: smaller where they are many, so
// that the rim between two is as wide as a bite; 0 when that is too small.
func biteRadius(radius float64, detents int) float64 {
	if detents == 0 {
		return 0
	}
	bite := min(notchRadius, 2*math.Pi*radius/float64(detents)/4)
	if bite < leastBite {
		return 0
	}
	return bite
}

// discShape is a disc with bites in its rim at even angles, the first at the
// zero of the turn.
func discShape(radius float64, detents int) geom.Path {
	size := biteRadius(radius, detents)
	if size == 0 {
		return geom.Circle(geom.Vec2{}, radius)
	}
	// A bite about a point of the rim meets the rim where it is seen from the
	// middle under this angle from that point: the isosceles triangle.
	half := 2 * math.Asin(min(1, size/(2*radius)))
	step := 2 * math.Pi / float64(detents)
	var out geom.Contour
	for k := range detents {
		at := geom.Angle(step * float64(k))
		rim := geom.CircularArc(geom.Vec2{}, radius, at+geom.Angle(half), geom.Angle(step-2*half))[0]
		if k == 0 {
			out.Start = rim.Start
		}
		out.Segments = append(out.Segments, rim.Segments...)
		// Round the inside of the next bite, clockwise: it starts where the chord
		// to the bite's middle meets it, half a turn less half an angle on.
		next := at + geom.Angle(step)
		sin, cos := next.Sincos()
		bite := geom.CircularArc(geom.Vec2{X: radius * cos, Y: radius * sin}, size,
			next-geom.Angle(math.Pi/2+half/2), -geom.Angle(math.Pi-half))[0]
		out.Segments = append(out.Segments, bite.Segments...)
	}
	out.Segments[len(out.Segments)-1].To = out.Start // to the last bit
	out.Closed = true
	return geom.Path{out}
}

// addWheelJoints cuts hole, window and thumb slot in the host and glues the hub.
func (m *maker) addWheelJoints(mechanism int, spec *design.Wheel) {
	f := m.handFrame(mechanism, spec.Place)
	name := Spaced(f.id)
	m.cutHole(f.host, geom.Circle(geom.Vec2{}, spec.PivotHole/2).Transform(f.place), cutName{mechanism, "place", "the pivot hole of " + name})
	if spec.Window != nil {
		m.addWindow(&f, spec)
	}
	m.addThumb(&f, spec)
	m.addZeroTick(&f, spec)
	m.behindNote(&f, geom.Vec2{})
	if h, ok := m.wheelHub(spec); ok {
		disc := m.partIndex(f.id)
		m.addHubJoint(f.id+".hub", mechanism, &h, disc, m.Parts[disc].Panels[0].Place, true)
	}
}

// addWindow cuts the window in the host and holds it against the disc behind.
func (m *maker) addWindow(f *handFrame, spec *design.Wheel) {
	window, err := geom.Union(spec.Window)
	if err != nil || len(window) == 0 {
		m.report(CodePieces, f.mechanism, "window", fmt.Sprintf("the window of %s could not be cut", Spaced(f.id)))
		return
	}
	far, near := 0.0, math.Inf(1)
	for _, ring := range window.Flatten(flatTolerance) {
		for i, p := range ring {
			far = max(far, p.Norm())
			near = min(near, geom.PointSegmentDistance(geom.Vec2{}, p, ring[(i+1)%len(ring)]))
		}
	}
	rim := spec.Radius - biteRadius(spec.Radius, spec.Detents)
	if far > rim {
		m.reportLength(CodeWindowOffDisc, f.mechanism, "window", far-rim,
			fmt.Sprintf("the window of %s reaches %s past its disc; make the radius that much larger or move the window in", Spaced(f.id), m.length(far-rim)))
	}
	for i := range window {
		if window[i].Area() < 0 {
			m.report(CodePieces, f.mechanism, "window", fmt.Sprintf("a piece inside the window of %s is held by nothing and is cut away", Spaced(f.id)))
			continue
		}
		m.cutHole(f.host, window[i:i+1].Transform(f.place), cutName{f.mechanism, "window", "the window of " + Spaced(f.id)})
	}
	if h, ok := m.wheelHub(spec); ok && near < h.cap {
		m.reportLength(CodeNarrowWeb, f.mechanism, "window", h.cap-near,
			fmt.Sprintf("the cap of the hub of %s covers %s of its window", Spaced(f.id), m.length(h.cap-near)))
	}
}

// addThumb gives the thumb a way to the disc. A disc that stands out past the
// paper of its host is turned there; one that lies over a crease of it stops the
// crease and is reported. Otherwise a slot is cut over the rim, on
// the side nearest to the edge of the panel or as near to that as it fits.
func (m *maker) addThumb(f *handFrame, spec *design.Wheel) {
	part := &m.Parts[m.partOf[f.host]]
	in := m.inHost(f)
	paper := part.Outline.Flatten(flatTolerance)[0]
	panel, toPanel := m.a.Panels[f.host].Outline, m.place[f.host].Inverse()
	shows, over := false, 0.0
	for _, p := range geom.Circle(geom.Vec2{}, spec.Radius).Transform(in).Flatten(flatTolerance)[0] {
		if !geom.PolygonContains(paper, p) {
			shows = shows || geom.PolygonDistance(paper, p) >= rimShows
		} else if q := toPanel.Apply(p); !geom.PolygonContains(panel, q) {
			over = max(over, geom.PolygonDistance(panel, q))
		}
	}
	if over > weldTolerance {
		m.reportLength(CodeOverCrease, f.mechanism, "place", over,
			fmt.Sprintf("the disc of %s lies %s over a crease of %s, which then cannot fold; move it that far in", Spaced(f.id), m.length(over), m.a.Panels[f.host].ID))
	}
	if shows {
		return
	}
	middle := spec.Radius - (thumbIn-thumbOut)/2
	half := (thumbIn + thumbOut) / 2
	clear := spec.PivotHole / 2
	if h, ok := m.wheelHub(spec); ok {
		clear = h.cap
	}
	if need := clear + m.web() + thumbIn; spec.Radius < need {
		m.reportLength(CodeNoThumb, f.mechanism, "radius", need-spec.Radius,
			fmt.Sprintf("the disc of %s is too small for a thumb slot beside its hub; make the radius %s larger", Spaced(f.id), m.length(need-spec.Radius)))
		return
	}
	turn := geom.Angle(thumbLong / middle)
	for _, at := range m.thumbDirections(f) {
		slot := arcSlot(middle, half, at-turn/2, at+turn/2).Transform(f.place)
		if m.fits(f.host, slot) {
			m.cutHole(f.host, slot, cutName{f.mechanism, "place", "the thumb slot of " + Spaced(f.id)})
			return
		}
	}
	m.reportLength(CodeNoThumb, f.mechanism, "place", rimShows,
		fmt.Sprintf("the disc of %s shows nowhere and there is no room for a thumb slot over its rim; let it stand %s out past the edge of %s", Spaced(f.id), m.a.Design.Show(rimShows), m.a.Panels[f.host].ID))
}

// thumbDirections are the directions from the pivot, nearest to the way to the
// panel's free edge first.
func (m *maker) thumbDirections(f *handFrame) []geom.Angle {
	part := &m.Parts[m.partOf[f.host]]
	paper := part.Outline.Flatten(flatTolerance)[0]
	pivot := m.inHost(f).Apply(geom.Vec2{})
	best, nearest := geom.Vec2{X: 1}, math.Inf(1)
	for i, a := range paper {
		b := paper[(i+1)%len(paper)]
		if d := geom.PointSegmentDistance(pivot, a, b); d < nearest-weldTolerance {
			along := b.Sub(a).Unit()
			foot := a.Add(along.Mul(min(b.Sub(a).Norm(), max(0, along.Dot(pivot.Sub(a))))))
			best, nearest = foot.Sub(pivot), d
		}
	}
	d := m.inHost(f).Inverse().Dir(best)
	out := geom.Angle(math.Atan2(d.Y, d.X))
	list := make([]geom.Angle, thumbSteps)
	for k := range list {
		list[k] = out + geom.Angle(2*math.Pi/thumbSteps*float64(k))
	}
	slices.SortStableFunc(list, func(a, b geom.Angle) int {
		// Whole steps, so that rounding does not choose between two sides.
		steps := func(x geom.Angle) int { return int(math.Round(aside(x, out) * thumbSteps / (2 * math.Pi))) }
		return steps(a) - steps(b)
	})
	return list
}

// addZeroTick marks the zero of the turn on the host, beside the rim: at rest it
// meets the tick on the disc.
func (m *maker) addZeroTick(f *handFrame, spec *design.Wheel) {
	mark := tick(spec.Radius+thumbOut, spec.Radius+thumbOut+tickLong, 0)
	for _, p := range []geom.Vec2{mark[0].Start, mark[0].End()} {
		if !geom.PolygonContains(m.a.Panels[f.host].Outline, f.place.Apply(p)) {
			return // off the panel, as the rim is
		}
	}
	part := &m.Parts[m.partOf[f.host]]
	part.Guides = append(part.Guides, mark.Transform(m.inHost(f))...)
}
