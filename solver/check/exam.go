package check

import (
	"foldwright/solver/clearance"
	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/kinematics"
	"foldwright/solver/making"
	"foldwright/solver/pattern"
	"foldwright/solver/stack"
)

// scope is the exams to run.
type scope struct {
	motion clearance.Checks
	layers bool // of the shut page
	parts  bool
	// shut is how the shut page is looked at; its stop is that of the parts too.
	shut stack.Options
}

var everything = scope{motion: clearance.Everything, layers: true, parts: true}

// scopeOf is the exams that can find the code, and what they depend on.
func scopeOf(c finding.Code) scope {
	return scope{motion: clearance.ChecksFor(c), layers: ofLayers(c), parts: c.OfParts()}
}

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
	// pattern is the parts, made once for all exams that look at them, without
	// lettering; nil when none does or the check was stopped.
	pattern *pattern.Pattern
	shut    *stack.Result // nil where it was not looked at
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
	if (s.layers || s.parts) && x.makeParts(s) {
		if s.layers {
			x.judgeLayers(s.shut)
		}
		if s.parts {
			x.findings = append(x.findings, making.Examine(a, x.pattern, include)...)
		}
		finding.Sort(x.findings)
		x.dropHidden()
	}
	return x
}

// makeParts makes the pattern as far as the exams need it; ok is false when it was
// told to stop.
func (x *exam) makeParts(s scope) (ok bool) {
	o := pattern.DefaultOptions()
	o.Plain, o.Unlettered, o.Stop = !s.parts, true, s.shut.Stop
	made, err := pattern.Make(x.Assembly, o)
	x.pattern = made
	return err == nil
}

// couldHide tells whether the exam was in no position to find g.
func (x *exam) couldHide(g *finding.Finding) bool {
	if ofLayers(g.Code) {
		return x.shut == nil || len(x.shut.LeftOut) > 0
	}
	if g.Code.OfParts() {
		return x.pattern == nil
	}
	return x.motion.CouldHide(g)
}
