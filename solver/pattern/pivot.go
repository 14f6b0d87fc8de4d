package pattern

import (
	"fmt"
	"math"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// An arm turns in front of its host. Its joint with the link goes down through
// the host, which has a slot along the joint's way: an arc about the pivot. Strip
// and link lie behind, the strip next to the host. Three hubs hold them: at the
// pivot, glued behind the host; at both ends of the link, glued behind the link.

// pivotPlan is the make of an arm and what drives it, in the frame of the pivot.
type pivotPlan struct {
	spec     *design.PivotArm
	rest     geom.Angle // of the crank before the pull
	pulled   geom.Angle // and after it
	past     float64    // how far the stroke goes on after arm and link have locked
	hub, far hub        // through two layers, and through three
	riveted  bool
	linkHalf float64
	strip    handStrip
}

func (m *maker) planPivotArm(f *handFrame, spec *design.PivotArm) pivotPlan {
	p := pivotPlan{spec: spec, rest: spec.CrankAngle}
	start := spec.Slider()
	stroke := min(spec.Stroke, spec.Crank+spec.LinkLength-start)
	p.past = spec.Stroke - stroke
	// The in-line slider-crank: the law of cosines for crank, link and the way
	// from the pivot to the strip.
	x, r, l := start+stroke, spec.Crank, spec.LinkLength
	p.pulled = geom.Angle(math.Acos(min(1, max(-1, (x*x+r*r-l*l)/(2*x*r)))))

	p.hub, p.riveted = m.newHub(spec.PivotHole, 2)
	p.far, _ = m.newHub(spec.PivotHole, 3)
	// Two caps on one arm keep clear of each other.
	p.hub.cap = max(min(p.hub.cap, (spec.Crank-pivotClearance)/2), spec.PivotHole/2)
	p.far.cap = p.hub.cap
	p.linkHalf = spec.PivotHole/2 + m.web()
	if p.riveted {
		p.linkHalf = p.hub.reach() + pivotClearance
	}
	pad := spec.PivotHole/2 + m.web()
	p.strip = handStrip{
		width: spec.StripWidth, length: spec.StripLength, stroke: spec.Stroke, behind: true,
		tail: pad, padTo: min(pad, spec.StripLength), padHalf: pad, clear: pad, first: p.linkHalf + spec.Stroke + pivotClearance,
	}
	p.strip.last = m.guideLimit(f, &p.strip, p.slider())
	p.strip.fitStops()
	return p
}

// joint is where arm and link meet when the crank is at an angle.
func (p *pivotPlan) joint(a geom.Angle) geom.Vec2 {
	sin, cos := a.Sincos()
	return geom.Vec2{X: p.spec.Crank * cos, Y: p.spec.Crank * sin}
}

func (p *pivotPlan) slider() geom.Vec2 { return geom.Vec2{X: p.spec.Slider()} }

func (m *maker) addPivotArmParts(mechanism, arm int, spec *design.PivotArm) {
	f := m.handFrame(mechanism, spec.Place)
	p := m.planPivotArm(&f, spec)
	m.addArm(mechanism, arm, &p)
	link := m.loosePart(f.id+".link", mechanism, capsule(geom.Vec2{}, geom.Vec2{Y: spec.LinkLength}, p.linkHalf), geom.Vec2{Y: 1})
	link.bored(spec.PivotHole, geom.Vec2{}, geom.Vec2{Y: spec.LinkLength})
	m.Parts = append(m.Parts, link)
	for i := range m.a.Strips {
		if m.a.Strips[i].Mechanism == mechanism {
			m.addHandStrip(&f, &m.a.Strips[i], &p.strip)
			m.Parts[m.partIndex(m.a.Strips[i].ID)].bored(spec.PivotHole, geom.Vec2{})
		}
	}
	if p.past > 0 {
		m.reportLength(CodeLocks, mechanism, "stroke", p.past,
			fmt.Sprintf("crank and link of %s lie in one line %s before the end of the stroke; make it that much shorter", Spaced(f.id), m.length(p.past)))
	}
	if p.riveted {
		for _, h := range p.hubs(&f) {
			m.addHub(h.id, mechanism, h.hub)
		}
	}
}

// addArm makes the arm: its outline and, where that does not hold pivot and
// joint, the crank between them with the least web round both holes.
func (m *maker) addArm(mechanism, arm int, p *pivotPlan) {
	part := &m.Parts[arm]
	place := part.Panels[0].Place
	crank := capsule(geom.Vec2{}, p.joint(p.rest), p.spec.PivotHole/2+m.web()).Transform(place)
	whole, err := geom.Union(append(append(geom.Path{}, part.Outline...), part.Holes...), crank)
	if err != nil {
		m.report(CodePieces, mechanism, "outline", fmt.Sprintf("the crank of %s could not be joined to its outline: %v", part.Name, err))
		return
	}
	part.setShape(whole)
	m.onePiece(mechanism, arm, "outline")
	part = &m.Parts[arm]
	part.bored(p.spec.PivotHole, place.T, place.Apply(p.joint(p.rest)))
	part.Grain = grainOf(part, place.T)
}

// pivotHub is one of the hubs of an arm.
type pivotHub struct {
	id  string
	hub *hub
}

// hubs are those of the pivot, of arm and link, and of link and strip.
func (p *pivotPlan) hubs(f *handFrame) [3]pivotHub {
	return [3]pivotHub{{f.id + ".pivot_hub", &p.hub}, {f.id + ".joint_hub", &p.far}, {f.id + ".strip_hub", &p.hub}}
}

func (m *maker) addPivotArmJoints(mechanism int, spec *design.PivotArm) {
	f := m.handFrame(mechanism, spec.Place)
	p := m.planPivotArm(&f, spec)
	name, hole := Spaced(f.id), spec.PivotHole
	m.cutHole(f.host, geom.Circle(geom.Vec2{}, hole/2).Transform(f.place), cutName{mechanism, "place", "the pivot hole of " + name})
	if p.riveted {
		hubs := p.hubs(&f)
		if p.hub.cap < hole/2+leastCap {
			short := hole + 2*leastCap + pivotClearance - spec.Crank
			m.reportLength(CodeNarrowWeb, mechanism, "crank", short,
				fmt.Sprintf("the caps of the hubs at both ends of the crank of %s meet; make it %s longer", name, m.length(short)))
		}
		// The legs at the pivot point aside from the slot.
		away := (p.rest+p.pulled)/2 + math.Pi/2
		turned := geom.Turn(away).Then(m.inHost(&f))
		m.addHubJoint(hubs[0].id, mechanism, hubs[0].hub, m.partOf[f.host], turned, m.onReverse(f.host, true))
		link := m.partIndex(f.id + ".link")
		along := geom.Placement{S: 1}
		joint := m.addHubJoint(hubs[1].id, mechanism, hubs[1].hub, link, along, true)
		m.cutArc(&f, &p, joint.Label, joint.ID)
		along.T = geom.Vec2{Y: spec.LinkLength}
		m.addHubJoint(hubs[2].id, mechanism, hubs[2].hub, link, along, true)
	} else {
		m.cutArc(&f, &p, f.id, "") // for a pin, which is glued to nothing
	}
	m.addGuideJoints(&f, &p.strip, p.slider())
	m.addGripAccess(&f, &p.strip, p.slider())
	m.behindNote(&f, p.slider())
}

// cutArc cuts the slot of the joint: as wide as the hole of a pivot, from where
// the joint rests to where the pull takes it.
func (m *maker) cutArc(f *handFrame, p *pivotPlan, label, joint string) {
	half := p.spec.PivotHole / 2
	name := "the slot for the joint of " + Spaced(f.id)
	if p.spec.Crank <= 2*half {
		short := 2*half + m.web() - p.spec.Crank
		m.reportLength(CodeNarrowWeb, f.mechanism, "crank", short,
			fmt.Sprintf("%s runs into the pivot hole and is not cut; make the crank %s longer", name, m.length(short)))
		return
	}
	m.cutSlot(f.host, arcSlot(p.spec.Crank, half, p.pulled, p.rest).Transform(f.place), label, joint, cutName{f.mechanism, "crank", name})
}
