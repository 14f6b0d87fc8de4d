package making

import (
	"fmt"
	"strings"

	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/kinematics"
	"foldwright/solver/pattern"
)

const (
	// goodTabDepth is the least depth of a tab that holds, mm: common practice.
	goodTabDepth = 5.0
	// fitted is how much shallower than asked a tab may be and still be what was
	// asked for, mm: pattern fits depths to 0.05.
	fitted = 0.1
)

// checkTabs finds tabs that are small, or smaller than asked for.
func (x *exam) checkTabs() {
	for i := range x.p.Joints {
		j := &x.p.Joints[i]
		if !x.designed(j) || j.Wanted == 0 {
			continue
		}
		f := finding.Finding{Code: finding.TabTooSmall, Mechanism: j.Mechanism, Where: x.tabPlace(j)}
		switch depth, missing := x.length(j.Depth), j.Wanted-j.Depth; {
		case j.Depth < goodTabDepth-fitted:
			f.Severity, f.Amount = finding.Warning, x.length(goodTabDepth-j.Depth)
			f.Message = fmt.Sprintf("Tab %s of %s is only %s deep; it needs %s to hold.", j.Label, j.Part, depth, x.length(goodTabDepth))
		case missing > fitted:
			f.Severity, f.Amount = finding.Note, x.length(missing)
			f.Message = fmt.Sprintf("Tab %s of %s is %s deep, %s less than asked for: there is no room for more.", j.Label, j.Part, depth, f.Amount)
		default:
			continue
		}
		x.add(f)
	}
}

// designed tells whether a joint's tab has its size from the design, and not, like
// a hub's or a guide's, from what it is for.
func (x *exam) designed(j *pattern.Joint) bool {
	if _, ok := x.a.Design.Mechanisms[j.Mechanism].Spec.(*design.Figure); ok {
		return j.Slotted
	}
	return x.a.FoldIndex(j.ID) >= 0 || strings.HasSuffix(j.ID, ".strip.pull") || strings.HasSuffix(j.ID, ".strip.anchor")
}

// tabPlace is the middle of a joint's tab.
func (x *exam) tabPlace(j *pattern.Joint) finding.Where {
	part := x.parts[j.Part]
	for _, g := range x.p.Parts[part].Glue {
		if g.Joint == j.ID && g.Tab {
			return x.at(part, g.Path.Bounds().Center())
		}
	}
	return x.middleOf(j.Mechanism)
}

// checkSizes finds parts too small to be handled.
func (x *exam) checkSizes() {
	for i := range x.p.Parts {
		p := &x.p.Parts[i]
		m := x.mechanismOf(i)
		if m == kinematics.Spread || len(p.Panels) == 0 {
			continue
		}
		if size := p.Size(); max(size.X, size.Y) < handled {
			missing := x.length(handled - max(size.X, size.Y))
			x.add(finding.Finding{
				Code: finding.PartTooSmall, Severity: finding.Note, Mechanism: m, Amount: missing,
				Message: fmt.Sprintf("%s is %s by %s, hard to fold and glue by hand.", x.sentenceStart(x.name(i)), x.length(size.X), x.length(size.Y)),
				Where:   x.at(i, p.Bounds().Center()),
			})
		}
	}
}

// handled is the length below which a part is hard to hold, mm. Common practice.
const handled = 10.0

func (x *exam) sentenceStart(s string) string { return strings.TrimSuffix(x.sentence(s), ".") }
