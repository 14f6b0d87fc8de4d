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
	// code is the one under which the parts are looked at, or making.Everything.
	code finding.Code
	// shut is how the shut page is looked at; its stop is that of all exams.
	shut stack.Options
	// enough ends the exam with the first finding that decides what is asked, of
	// which only the code, the severity and the mechanism need be known; nil wants
	// all. The sweep then looks at the moments first, and adds to them.
	enough  func(*finding.Finding) bool
	moments *moments
	// matter tells of which mechanisms the sweep looks at the pieces; nil wants all.
	// The contacts of others are as they were before.
	matter func(mechanism int) bool
	before map[[2]int]bool
}

var everything = scope{motion: clearance.Everything, sweep: true, layers: true, parts: true}

// scopeOf is the exams that can find the code, and what they depend on.
func scopeOf(c finding.Code) scope {
	return scope{motion: clearance.ChecksFor(c), sweep: ofSweep(c), layers: ofLayers(c), parts: c.OfParts(), code: c}
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
	// stopped is that an exam was told to stop, and decided that it had found enough:
	// it has not found all there is.
	stopped, decided bool
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
		contacts: map[[2]int]bool{}, together: map[place][]int{}, merged: map[place]int{},
	}
	x.findings, x.stopped = x.motion.Findings, x.motion.Stopped
	for _, step := range []struct {
		wanted bool
		look   func()
	}{
		{s.sweep, x.findDisturbed},
		{s.layers || s.parts, func() { x.makeParts(s) }},
		{s.parts, func() { x.judgeParts(include, s) }},
		{s.sweep, func() { x.judgeCollisions(s) }},
		{s.layers, func() { x.judgeLayers(s.shut) }}, // what meets on the way is no fault of layers
		{s.sweep, x.addUndecided},
	} {
		if x.stopped || x.decided || slices.ContainsFunc(x.findings, func(f finding.Finding) bool { return x.decides(&f, s) }) {
			break
		}
		if step.wanted {
			step.look()
		}
	}
	finding.Sort(x.findings)
	x.dropHidden()
	return x
}

// decides tells whether a finding is enough. Nothing more is looked at then.
func (x *exam) decides(f *finding.Finding, s scope) bool {
	x.decided = x.decided || s.enough != nil && s.enough(f)
	return x.decided
}

// makeParts makes the pattern as far as the exams need it.
func (x *exam) makeParts(s scope) {
	o := pattern.DefaultOptions()
	o.Plain, o.Unlettered, o.Stop = !s.parts || making.PlainDoes(s.code), true, s.shut.Stop
	made, err := pattern.Make(x.Assembly, o)
	x.pattern = made
	x.stopped = err != nil
}

// judgeParts looks at the parts as they are made.
func (x *exam) judgeParts(include []bool, s scope) {
	found, complete := making.Examine(x.Assembly, x.pattern, include, s.code, s.shut.Stop)
	x.findings = append(x.findings, found...)
	x.stopped = !complete
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
