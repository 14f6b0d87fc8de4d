package pattern

import (
	"math"

	"foldwright/solver/geom"
)

const (
	// pivotClearance is how much wider a pivot's hole is than the hub in it, mm.
	// Common practice: 0.3 to 0.5.
	pivotClearance = 0.4
	// capOverlap is how far the cap of a hub reaches beyond its hole, mm, and
	// leastCap the least that still holds. From memory.
	capOverlap, leastCap = 3.0, 1.5
	// legGlue is the glued length of a leg, mm: less than of a tab, since it is
	// pulled along its face and never peeled. From memory.
	legGlue = 4.0
	// leastLeg is the width below which a leg cannot be bent without tearing,
	// mm: the least web of a cutter.
	leastLeg = minWeb
)

// hub is a rivet of paper: a round cap with two legs, slit free of it, that go
// down through the hole and are glued outwards behind. The legs stand at two
// sides of a square, so that the circle round their four corners is the hub's
// diameter. In its own frame the legs point along x.
type hub struct {
	hole   float64 // diameter
	cap    float64 // radius
	half   float64 // half the width of a leg, and where it bends down
	rise   float64 // thickness of what it holds together
	beyond float64 // bend to the start of the glue once spread
}

// newHub is the hub for a hole through a number of layers; ok is false when the
// hole is too small for legs of paper, and a pin or thread must do.
func (m *maker) newHub(hole float64, layers int) (h hub, ok bool) {
	h = hub{
		hole: hole, cap: hole/2 + capOverlap,
		half: (hole - pivotClearance) / (2 * math.Sqrt2),
		rise: float64(layers)*m.a.Design.Paper.Caliper + m.o.SlotGapClearance,
	}
	h.beyond = hole/2 + pivotClearance/2 - h.half
	return h, 2*h.half >= leastLeg
}

// reach is how far from the middle of the hole the glued legs go.
func (h *hub) reach() float64 { return h.half + h.beyond + legGlue }

// length is how far from the middle of the hub its legs reach as cut.
func (h *hub) length() float64 { return h.reach() + h.rise }

// legs are the two rectangles from one distance along x to another.
func (h *hub) legs(from, to float64) geom.Path {
	return append(geom.Rect(from, -h.half, to, h.half), geom.Rect(-to, -h.half, -from, h.half)...)
}

// glued is where the legs lie on what they are glued to.
func (h *hub) glued() geom.Path { return h.legs(h.half+h.beyond, h.reach()) }

// addHub makes the part of a hub.
func (m *maker) addHub(id string, mechanism int, h *hub) {
	leg := h.length()
	outline, err := geom.Union(geom.Circle(geom.Vec2{}, h.cap), geom.Rect(-leg, -h.half, leg, h.half))
	if err != nil { // a circle and a rectangle of a few mm
		panic("pattern: the cap and legs of a hub do not join: " + err.Error())
	}
	part := m.loosePart(id, mechanism, outline, geom.Vec2{X: 1}) // along the legs, which then bend without breaking off
	rim := math.Sqrt(h.cap*h.cap - h.half*h.half)
	for _, side := range []float64{1, -1} {
		x := side * h.half
		if rim > h.half {
			for _, y := range []float64{h.half, -h.half} {
				part.Cuts = append(part.Cuts, geom.PolylinePath([]geom.Vec2{{X: x, Y: y}, {X: side * rim, Y: y}}, false)...)
			}
		}
		// Down from the cap, which is seen from the front. The second bend is
		// pressed over the rim of the hole: two scores so close would tear.
		part.Creases = append(part.Creases, Crease{
			ID: id + ".leg", Fold: noFold, From: geom.Vec2{X: x, Y: -h.half}, To: geom.Vec2{X: x, Y: h.half}, Kind: Mountain,
			AngleMin: math.Pi / 2, AngleMax: math.Pi / 2,
		})
	}
	m.Parts = append(m.Parts, part)
}

// addHubJoint glues the legs of a hub to a part, on its reverse when back. place
// takes the hub's frame to that part.
func (m *maker) addHubJoint(id string, mechanism int, h *hub, host int, place geom.Placement, back bool) *Joint {
	part := m.partIndex(id)
	joint := m.newJoint(mechanism, id, part, host)
	joint.Slotted, joint.Length, joint.Depth, joint.Wanted = true, 2*h.half, legGlue, legGlue
	leg := h.legs(h.length()-legGlue, h.length())
	m.addGlue(part, GlueArea{Label: joint.Label, Joint: id, Part: joint.Host, Tab: true, Path: leg}, geom.Vec2{X: 1})
	m.addGlue(host, GlueArea{
		Label: joint.Label, Joint: id, Part: joint.Part, OnBack: back, Path: eachAnticlockwise(h.glued().Transform(place)),
	}, place.Dir(geom.Vec2{X: 1}))
	return joint
}

// loosePart is a part that is no panel of the assembly.
func (m *maker) loosePart(id string, mechanism int, outline geom.Path, grain geom.Vec2) Part {
	return Part{
		ID: id, Name: Spaced(id), Mechanism: m.a.Design.Mechanisms[mechanism].ID, Count: 1,
		Outline: eachAnticlockwise(outline), Grain: grain,
		middle: centroid(eachAnticlockwise(outline).Flatten(flatTolerance)),
	}
}

// partIndex finds a part by its id. Parts asked for are made earlier.
func (m *maker) partIndex(id string) int {
	for i := range m.Parts {
		if m.Parts[i].ID == id {
			return i
		}
	}
	panic("pattern: no part " + id)
}

// eachAnticlockwise turns every contour anticlockwise.
func eachAnticlockwise(p geom.Path) geom.Path {
	out := make(geom.Path, len(p))
	for i := range p {
		out[i] = anticlockwise(p[i : i+1])
	}
	return out
}

// bored cuts round holes in a part.
func (p *Part) bored(diameter float64, at ...geom.Vec2) {
	for _, q := range at {
		p.Holes = append(p.Holes, geom.Circle(q, diameter/2).Reverse()...)
	}
}
