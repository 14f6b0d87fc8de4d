package making

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"foldwright/solver/finding"
	"foldwright/solver/kinematics"
	"foldwright/solver/pattern"
)

// Paper above these is heavy: a score across its fibres cracks. Below scoredFrom
// g/m² paper is folded without a score. Common practice; mills and binders say to
// score from 150 g/m² or 0.127 mm on.
const (
	heavyGrammage, heavyCaliper = 200.0, 0.25
	scoredFrom                  = 150.0
)

// checkGrain finds parts whose main scores run across the grain.
func (x *exam) checkGrain() {
	paper := x.a.Design.Paper
	severity := finding.Note
	switch {
	case paper.Grammage > heavyGrammage || paper.Caliper > heavyCaliper:
		severity = finding.Warning
	case paper.Grammage < scoredFrom:
		return
	}
	for part := range x.p.Parts {
		p := &x.p.Parts[part]
		along, across := 0.0, 0.0
		var longest *pattern.Crease
		var named []string
		for _, c := range x.p.MainScores(x.a, part) {
			angle := p.ToGrain(c)
			if angle <= math.Pi/4 {
				along += c.Length()
				continue
			}
			across += c.Length()
			if longest == nil || c.Length() > longest.Length() {
				longest = c
			}
			if name := fmt.Sprintf("%s by %s", c.ID, finding.Angle(angle)); !slices.Contains(named, name) {
				named = append(named, name)
			}
		}
		if across <= along {
			continue
		}
		f := finding.Finding{
			Code: finding.GrainAgainstScore, Severity: severity, Mechanism: x.mechanismOf(part),
			Amount:  finding.Angle(p.ToGrain(longest)),
			Message: fmt.Sprintf("The grain of %s runs across its main scores: %s.", x.name(part), strings.Join(named, ", ")),
			Where:   x.at(part, longest.From.Lerp(longest.To, 0.5)),
		}
		if f.Mechanism == kinematics.Spread {
			f.Pointer = "/paper/grain"
		}
		x.add(f)
	}
}
