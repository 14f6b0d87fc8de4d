package check

import (
	"foldwright/solver/clearance"
	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/kinematics"
	"foldwright/solver/stack"
)

// scope is the exams to run.
type scope struct {
	motion clearance.Checks
	layers bool // of the shut page
	// shut is how that is looked at.
	shut stack.Options
}

var everything = scope{motion: clearance.Everything, layers: true}

// scopeOf is the exams that can find the code, and what they depend on.
func scopeOf(c finding.Code) scope { return scope{motion: clearance.ChecksFor(c), layers: ofLayers(c)} }

// coarsely leaves the ends of intervals at the openings looked at.
func (s scope) coarsely() scope {
	s.motion |= clearance.Coarse
	return s
}

// exam is what the exams found in one design.
type exam struct {
	*kinematics.Assembly
	d        *design.Design
	findings []finding.Finding
	motion   *clearance.Exam
	shut     *stack.Result // nil where it was not looked at
	// together are the mechanisms that layers concern, by code and mechanism.
	together map[place][]int
}

// place is what a finding is about.
type place struct {
	code      finding.Code
	mechanism int
}

// examine runs the exams on the included mechanisms (nil: all). Findings come
// in the order of the mechanisms, then of the catalogue, without remedies.
func examine(a *kinematics.Assembly, include []bool, s scope) *exam {
	x := &exam{Assembly: a, d: a.Design, motion: clearance.Examine(a, include, s.motion)}
	x.findings = x.motion.Findings
	if s.layers {
		x.judgeLayers(s.shut)
		finding.Sort(x.findings)
	}
	return x
}

// couldHide tells whether the exam was in no position to find g.
func (x *exam) couldHide(g *finding.Finding) bool {
	if ofLayers(g.Code) {
		return x.shut == nil || len(x.shut.LeftOut) > 0
	}
	return x.motion.CouldHide(g)
}
