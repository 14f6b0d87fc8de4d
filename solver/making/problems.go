package making

import (
	"slices"
	"strings"

	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/geom"
)

// takeProblems makes findings of what kept the pattern from being made.
func (x *exam) takeProblems() {
	for i := range x.p.Problems {
		p := &x.p.Problems[i]
		code := finding.Code(p.Code)
		x.add(finding.Finding{
			Code: code, Severity: code.Info().Severity, Mechanism: p.Mechanism, Pointer: p.Pointer,
			Message: x.sentence(p.Detail), Amount: finding.Amount(p.Amount), Where: x.middleOf(p.Mechanism),
		})
	}
}

// middleOf is the middle of the first panel of a mechanism.
func (x *exam) middleOf(mechanism int) finding.Where {
	for i := range x.a.Panels {
		if x.a.Panels[i].Mechanism == mechanism && x.partOf[i] >= 0 {
			box := geom.EmptyBox()
			for _, q := range x.a.Panels[i].Outline {
				box = box.Extend(q)
			}
			for _, placed := range x.p.Parts[x.partOf[i]].Panels {
				if placed.Panel == i {
					return x.at(x.partOf[i], placed.Place.Apply(box.Center()))
				}
			}
		}
	}
	return finding.Where{}
}

// sentence begins with a capital, unless that would change an id, and ends with a
// full stop.
func (x *exam) sentence(s string) string {
	first := s[:strings.IndexFunc(s+" ", func(r rune) bool { return r == ' ' || r == '.' })]
	if s == "" || slices.ContainsFunc(x.a.Design.Mechanisms, func(m design.Mechanism) bool { return m.ID == first }) {
		return s + "."
	}
	return strings.ToUpper(s[:1]) + s[1:] + "."
}
