package pattern

import (
	"fmt"
	"math"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// A slide lies in front of its host and its strip behind. A runner joins them: a
// rectangle through a slot along the pull, half of it glued behind the slide and
// half in front of the strip. It leaves the slide whole, which a tongue cut from
// the slide would not.
//
// The strip of a tent lies in front, from the far edge, where its end is glued
// under the panel, through a gap in the fixed edge.

// runnerSizes are the length along the pull and the depth of each half of a
// runner, mm, the best first. Common practice: glued 5 to 8 deep.
var runnerSizes = [][2]float64{{12, 8}, {12, 6}, {10, 6}, {10, 5}, {8, 5}, {6, 5}, {6, 4}, {5, 4}}

// runnerStep is how finely the place of a runner is looked for, mm, and
// runnerHem how far it keeps inside the outline of its slide.
const runnerStep, runnerHem = 1.0, 1.0

// runner is where the runner of a slide lies at rest, in the frame of the pull:
// from x to x+long, its slot along y, its slide's half to one side of that and
// its strip's half to the other.
type runner struct{ x, long, y, deep, side float64 }

func (r *runner) slideHalf() geom.Path {
	return eachAnticlockwise(geom.Rect(r.x, r.y, r.x+r.long, r.y+r.side*r.deep))
}
func (r *runner) stripHalf() geom.Path {
	return eachAnticlockwise(geom.Rect(r.x, r.y, r.x+r.long, r.y-r.side*r.deep))
}

// fitRunner finds the largest runner that the slide covers and whose other half
// is on the strip, nearest to the middle of the slide along the pull. Its slot
// runs along the middle of the strip, or aside when the strip is too narrow or
// the slide lies aside.
func fitRunner(shape geom.Path, width, length float64) (runner, bool) {
	rings := shape.Flatten(flatTolerance)
	box := shape.Bounds()
	w, in := emptyLetterer(box), newRegion(rings)
	w.block(rings)
	middle := centroid(rings[outerContour(shape) : outerContour(shape)+1])
	for _, size := range runnerSizes {
		best, nearest := runner{long: size[0], deep: size[1]}, math.Inf(1)
		if best.deep > width {
			continue
		}
		for _, side := range []float64{1, -1} {
			for aside := max(0, best.deep-width/2); aside <= width/2; aside += runnerStep {
				y := side * aside
				for x := box.Min.X + runnerHem; x+best.long <= min(box.Max.X, length)-runnerHem; x += runnerStep {
					at := geom.Vec2{X: x + best.long/2, Y: y + side*best.deep/2}
					inside := textBox{at, geom.Vec2{X: 1}, best.long/2 + runnerHem, best.deep/2 + runnerHem}
					if d := abs(at.X - middle.X); d < nearest-weldTolerance && w.fits(&inside, in, 0) {
						best.x, best.y, best.side, nearest = x, y, side, d
					}
				}
			}
		}
		if !math.IsInf(nearest, 1) {
			return best, true
		}
	}
	return runner{}, false
}

// slidePlan is the make of a slide's strip and runner.
func (m *maker) slidePlan(f *handFrame, spec *design.PullTab) (r runner, s handStrip, ok bool) {
	r, ok = fitRunner(spec.Outline, spec.StripWidth, spec.StripLength)
	s = handStrip{width: spec.StripWidth, length: spec.StripLength, stroke: spec.Stroke, behind: true}
	if ok {
		s.tail = max(0, minWeb-r.x)
	}
	s.last = m.guideLimit(f, &s, geom.Vec2{})
	s.fitStops()
	return r, s, ok
}

// tentPlan is the make of a tent's strip. It starts at the far edge; its guides
// stand beyond the fixed edge and its tab.
func (m *maker) tentPlan(f *handFrame, spec *design.PullTab) handStrip {
	mechanism := f.mechanism
	s := handStrip{width: spec.StripWidth, length: spec.StripLength, stroke: spec.Stroke}
	s.first = spec.NearWidth + spec.FarWidth + creaseClearance
	if joint := m.jointOf(mechanism); joint.TabSide == design.Outer {
		s.first += joint.TabDepth
	}
	s.clear = s.first // a block does not go through the gap
	s.last = m.guideLimit(f, &s, tentStart(spec))
	s.fitStops()
	s.tail, _ = m.stripEnds(m.tentStrip(mechanism, spec))
	return s
}

// tentStart is the middle of the far edge at rest, in the frame of the pull.
func tentStart(spec *design.PullTab) geom.Vec2 {
	return geom.Vec2{X: -spec.NearWidth - spec.FarWidth, Y: spec.Along / 2}
}

// tentStrip is the strip as those drawn by the opening are: with the edge it is
// fixed to and the gap it passes.
func (m *maker) tentStrip(mechanism int, spec *design.PullTab) *kinematics.Strip {
	s := *m.handStripOf(mechanism)
	near, far := m.panelByID[m.a.Design.Mechanisms[mechanism].ID+".near"], m.panelByID[m.a.Design.Mechanisms[mechanism].ID+".far"]
	middle := geom.Vec2{X: spec.Along / 2}
	s.Pulls = kinematics.Face{Panel: far, Origin: middle, Along: geom.Vec2{X: 1}, Away: geom.Vec2{Y: 1}}
	s.Anchor = s.Pulls
	s.Gap = kinematics.StripGap{Panel: near, From: middle.X - s.Width/2, To: middle.X + s.Width/2}
	return &s
}

// handStripOf is the strip of a mechanism worked by hand.
func (m *maker) handStripOf(mechanism int) *kinematics.Strip {
	for i := range m.a.Strips {
		if m.a.Strips[i].Mechanism == mechanism {
			return &m.a.Strips[i]
		}
	}
	panic("pattern: a pull tab without a strip")
}

func (m *maker) addPullTabParts(mechanism, panel int, spec *design.PullTab) {
	f := m.handFrame(mechanism, spec.Place)
	strip := m.handStripOf(mechanism)
	if spec.Moves == design.MovesTent {
		s := m.tentPlan(&f, spec)
		m.addHandStrip(&f, strip, &s)
		return
	}
	m.onePiece(mechanism, panel, "outline")
	r, s, ok := m.slidePlan(&f, spec)
	m.addHandStrip(&f, strip, &s)
	if !ok {
		least := runnerSizes[len(runnerSizes)-1]
		m.report(CodeNoRunner, mechanism, "outline",
			fmt.Sprintf("%s covers no place on the strip for a runner of %s by %s; draw it over its own line v = 0", Spaced(f.id), m.a.Design.Show(least[0]), m.a.Design.Show(least[1])))
		return
	}
	outline := geom.Rect(-r.deep, 0, r.deep, r.long)
	m.Parts = append(m.Parts, m.loosePart(f.id+".runner", mechanism, outline, geom.Vec2{Y: 1}))
}

func (m *maker) addPullTabJoints(mechanism int, spec *design.PullTab) {
	f := m.handFrame(mechanism, spec.Place)
	if spec.Moves == design.MovesTent {
		m.addTentStripJoints(&f, spec)
		return
	}
	r, s, ok := m.slidePlan(&f, spec)
	if ok {
		m.addRunnerJoints(&f, &r, spec)
	}
	m.addGuideJoints(&f, &s, geom.Vec2{})
	m.addGripAccess(&f, &s, geom.Vec2{})
	m.behindNote(&f, geom.Vec2{X: s.length / 2})
}

// addRunnerJoints glues the runner and cuts its slot: the stroke, the runner and
// the clearance of a slot long.
func (m *maker) addRunnerJoints(f *handFrame, r *runner, spec *design.PullTab) {
	id := f.id + ".runner"
	part, slide, strip := m.partIndex(id), m.partIndex(f.id), m.partIndex(f.id+".strip")
	end, half := m.o.SlotLengthClearance/2, (m.a.Design.Paper.Caliper+m.o.SlotGapClearance)/2
	own := f.loose(geom.Vec2{X: r.x, Y: r.y})
	toSlide, toStrip := m.Parts[slide].Panels[0].Place, f.loose(geom.Vec2{})
	glue := func(suffix string, host int, area geom.Path, place geom.Placement, back bool) *Joint {
		joint := m.newJoint(f.mechanism, id+suffix, part, host)
		joint.Length, joint.Depth, joint.Wanted = r.long, r.deep, r.deep
		m.addGlue(part, GlueArea{Label: joint.Label, Joint: joint.ID, Part: joint.Host, Tab: true, OnBack: !back, Path: eachAnticlockwise(area.Transform(own))}, geom.Vec2{Y: 1})
		m.addGlue(host, GlueArea{Label: joint.Label, Joint: joint.ID, Part: joint.Part, OnBack: back, Path: eachAnticlockwise(area.Transform(place))}, place.Dir(geom.Vec2{X: 1}))
		return joint
	}
	glue(".slide", slide, r.slideHalf(), toSlide, true)
	joint := glue(".strip", strip, r.stripHalf(), toStrip, false)
	joint.Slotted = true
	slot := geom.Rect(r.x-end, r.y-half, r.x+r.long+spec.Stroke+end, r.y+half).Transform(f.place)
	m.cutSlot(f.host, slot, joint.Label, joint.ID, cutName{f.mechanism, "place", "the slot for the runner of " + Spaced(f.id)})
}

// addTentStripJoints glues the strip under the far edge and leaves its gap in
// the fixed one.
func (m *maker) addTentStripJoints(f *handFrame, spec *design.PullTab) {
	s := m.tentPlan(f, spec)
	strip := m.tentStrip(f.mechanism, spec)
	part := m.partIndex(strip.ID)
	m.addStripEnd(part, strip, "pull", &strip.Pulls, -s.tail, 0, m.stripEndAngles(strip, &strip.Pulls, true))
	m.cutGap(strip)
	start := tentStart(spec)
	m.addGuideJoints(f, &s, start)
	m.addGripAccess(f, &s, start)
}
