package making

import (
	"slices"

	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/pattern"
)

// exam is one design being judged.
type exam struct {
	a        *kinematics.Assembly
	p        *pattern.Pattern
	include  []bool
	shut     *kinematics.Pose
	parts    map[string]int // by ID
	joints   map[string]int // by ID
	partOf   []int          // by panel; -1 where it has none
	findings []finding.Finding

	stop    func() bool
	stopped bool
}

// Everything stands for all codes.
const Everything finding.Code = ""

// PlainDoes tells whether a pattern without creases and lettering shows all that is
// found under a code.
func PlainDoes(c finding.Code) bool {
	switch c {
	case finding.NoRoomForTab, finding.NoRoomForLock, finding.TabTooSmall:
		return true
	}
	return false
}

// Examine judges the parts p of a under one code, or Everything, for the included
// mechanisms (nil: all) and the spread. Findings come without remedies, in the order
// of the mechanisms and of the catalogue; the amount of each is the greatest of its
// kind. Once stop, which may be nil, returns true it gives up, and complete is false.
func Examine(a *kinematics.Assembly, p *pattern.Pattern, include []bool, code finding.Code, stop func() bool) (findings []finding.Finding, complete bool) {
	x := &exam{a: a, p: p, include: include, stop: stop, shut: a.NewPose(), parts: map[string]int{}, joints: map[string]int{}, partOf: make([]int, len(a.Panels))}
	a.PoseInto(x.shut, kinematics.Drive{})
	for i := range x.partOf {
		x.partOf[i] = -1
	}
	for i := range p.Parts {
		x.parts[p.Parts[i].ID] = i
		for _, placed := range p.Parts[i].Panels {
			x.partOf[placed.Panel] = i
		}
	}
	for i := range p.Joints {
		x.joints[p.Joints[i].ID] = i
	}
	x.takeProblems()
	for _, row := range []struct {
		look  func()
		finds []finding.Code
	}{
		{x.checkTabs, []finding.Code{finding.TabTooSmall}},
		{x.checkGlue, []finding.Code{finding.OverCrease, finding.CutInGlue, finding.TabOffHost}},
		{x.checkSlots, []finding.Code{finding.SlotNearEdge}},
		{x.checkGrain, []finding.Code{finding.GrainAgainstScore}},
		{x.checkSizes, []finding.Code{finding.PartTooSmall}},
		{x.checkReach, []finding.Code{finding.GlueOutOfReach}},
	} {
		if !x.halted() && (code == Everything || slices.Contains(row.finds, code)) {
			row.look()
		}
	}
	finding.Sort(x.findings)
	return x.findings, !x.stopped
}

// halted asks whether to give up, as is done before each look, place of glue and act
// of assembly. Once told so it does not ask again.
func (x *exam) halted() bool {
	x.stopped = x.stopped || x.stop != nil && x.stop()
	return x.stopped
}

func (x *exam) includes(mechanism int) bool {
	return mechanism == kinematics.Spread || x.include == nil || x.include[mechanism]
}

// add keeps the gravest finding of each code and mechanism, with the panels of
// all.
func (x *exam) add(f finding.Finding) {
	if !x.includes(f.Mechanism) {
		return
	}
	f.At = finding.Interval{To: x.a.Design.Spread.OpensTo}
	if f.Pointer == "" && f.Mechanism == kinematics.Spread {
		f.Pointer = "/spread"
	}
	for i := range x.findings {
		g := &x.findings[i]
		if g.Code != f.Code || g.Mechanism != f.Mechanism {
			continue
		}
		panels := g.Where.Panels
		if f.Severity == g.Severity && f.Amount.Value > g.Amount.Value || f.Severity != g.Severity && graver(f.Severity, g.Severity) {
			f.Where.Panels, panels = panels, f.Where.Panels
			*g = f
		} else {
			panels = f.Where.Panels
		}
		for _, id := range panels {
			if !slices.Contains(g.Where.Panels, id) {
				g.Where.Panels = append(g.Where.Panels, id)
			}
		}
		return
	}
	x.findings = append(x.findings, f)
}

func graver(a, b finding.Severity) bool {
	rank := []finding.Severity{finding.Error, finding.Warning, finding.Note}
	return slices.Index(rank, a) < slices.Index(rank, b)
}

// length is a length in mm as an amount in the document's units.
func (x *exam) length(mm float64) finding.Amount { return finding.Length(x.a.Design, mm) }

// web is the least paper beside a cut, mm.
func (x *exam) web() float64 { return pattern.Web(x.a.Design) }

// mechanismOf is the mechanism a part belongs to, or kinematics.Spread.
func (x *exam) mechanismOf(part int) int {
	id := x.p.Parts[part].Mechanism
	return slices.IndexFunc(x.a.Design.Mechanisms, func(m design.Mechanism) bool { return id != "" && m.ID == id })
}

// at is the place of a point of a part: on the panel it lies on, or the nearest.
func (x *exam) at(part int, p geom.Vec2) finding.Where {
	of := &x.p.Parts[part]
	w := finding.Where{Flat: finding.Flat{Part: of.ID, Point: p}}
	best, nearest := -1, 0.0
	var local geom.Vec2
	for _, placed := range of.Panels {
		q := placed.Place.Inverse().Apply(p)
		outline := x.a.Panels[placed.Panel].Outline
		d := 0.0
		if !geom.PolygonContains(outline, q) {
			d = geom.PolygonDistance(outline, q)
		}
		if best < 0 || d < nearest {
			best, nearest, local = placed.Panel, d, q
		}
	}
	if best < 0 {
		return w
	}
	w.Panels = []string{x.a.Panels[best].ID}
	if x.shut.Has(best) {
		w.Point, w.HasPoint = x.shut.Panels[best].At(local), true
	}
	return w
}

// name is what people call a part.
func (x *exam) name(part int) string { return x.p.Parts[part].Name }
