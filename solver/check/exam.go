package check

import (
	"slices"

	"foldwright/solver/clearance"
	"foldwright/solver/collide"
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
	sweep  bool // of the motion for pieces that meet
	layers bool // of the shut page
	parts  bool
	// shut is how the shut page is looked at; its stop is that of the parts too.
	shut stack.Options
}

var everything = scope{motion: clearance.Everything, sweep: true, layers: true, parts: true}

// scopeOf is the exams that can find the code, and what they depend on.
func scopeOf(c finding.Code) scope {
	return scope{motion: clearance.ChecksFor(c), sweep: ofSweep(c), layers: ofLayers(c), parts: c.OfParts()}
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
	swept   *collide.Result // nil where it was not looked at
	shut    *stack.Result   // nil where it was not looked at
	// stopped is that an exam was told to stop, and has not found all there is.
	stopped bool
	// contacts are the pairs of mechanisms that pass through each other.
	contacts map[[2]int]bool
	// disturbed are mechanisms that do not move as drawn; the sides of uneven
	// ones do not match to the last digit.
	disturbed, uneven []bool
	// together are the mechanisms that findings about several concern, and
	// merged the places of those findings, by code and mechanism.
	together map[place][]int
	merged   map[place]int
}

// place is what a finding is about.
type place struct {
	code      finding.Code
	mechanism int
}

// examine runs the exams on the included mechanisms (nil: all). Findings come
// in the order of the mechanisms, then of the catalogue, without remedies.
func examine(a *kinematics.Assembly, include []bool, s scope) *exam {
	x := &exam{
		Assembly: a, d: a.Design, motion: clearance.Examine(a, include, s.motion, s.shut.Stop),
		together: map[place][]int{}, merged: map[place]int{},
	}
	x.findings, x.stopped = x.motion.Findings, x.motion.Stopped
	if s.sweep {
		x.judgeCollisions(s.shut.Stop)
	}
	if (s.layers || s.parts) && x.makeParts(s) {
		if s.layers {
			x.judgeLayers(s.shut)
		}
		if s.parts {
			x.judgeParts(include, s.shut.Stop)
		}
	}
	if s.sweep {
		x.addUndecided()
	}
	finding.Sort(x.findings)
	x.dropHidden()
	return x
}

// makeParts makes the pattern as far as the exams need it; ok is false when it was
// told to stop.
func (x *exam) makeParts(s scope) (ok bool) {
	o := pattern.DefaultOptions()
	o.Plain, o.Unlettered, o.Stop = !s.parts, true, s.shut.Stop
	made, err := pattern.Make(x.Assembly, o)
	x.pattern = made
	x.stopped = x.stopped || err != nil
	return err == nil
}

// judgeParts looks at the parts as they are made.
func (x *exam) judgeParts(include []bool, stop func() bool) {
	found, complete := making.Examine(x.Assembly, x.pattern, include, stop)
	x.findings = append(x.findings, found...)
	x.stopped = x.stopped || !complete
}

// couldHide tells whether the exam was in no position to find g.
func (x *exam) couldHide(g *finding.Finding) bool {
	if ofSweep(g.Code) {
		return x.swept == nil || x.swept.Stopped || slices.Contains(x.disturbed, true)
	}
	if ofLayers(g.Code) {
		return x.shut == nil || len(x.shut.LeftOut) > 0 || slices.Contains(x.disturbed, true)
	}
	if g.Code.OfParts() {
		return x.pattern == nil
	}
	return x.motion.CouldHide(g)
}
