package check

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/kinematics"
	"foldwright/solver/stack"
)

// thickGutter is how thick, in mm, what lies between the pages may be before one
// score in the gutter cannot take it in. Common practice.
const thickGutter = 3.0

// ofLayers tells whether a code is found in the layers of the shut page, and so
// about all mechanisms together.
func ofLayers(c finding.Code) bool {
	switch c {
	case finding.LayersTrapped, finding.GluedTwice, finding.StackUndecided, finding.StackTooThick, finding.ThicknessMatters:
		return true
	}
	return false
}

// judgeLayers looks at the shut page.
func (x *exam) judgeLayers(o stack.Options) {
	shut, err := stack.Judge(x.Assembly, x.pattern, o)
	if err != nil {
		x.stopped = true
		return
	}
	x.shut = shut
	x.addFaults()
	x.addThickness()
}

// addFaults adds what is wrong with the order of the layers.
func (x *exam) addFaults() {
	for i := range x.shut.Faults {
		if f := &x.shut.Faults[i]; !x.foundOtherwise(f) {
			x.merge(x.ofFault(f), f.Mechanisms)
		}
	}
}

// merge adds a finding about several mechanisms. Of all those of a kind that a
// mechanism has it makes one: the gravest and worst of them, with the panels of
// all, its own first.
func (x *exam) merge(g finding.Finding, mechanisms []int) {
	key := place{g.Code, g.Mechanism}
	x.together[key] = append(x.together[key], mechanisms...)
	k, ok := x.merged[key]
	if !ok {
		x.merged[key] = len(x.findings)
		x.findings = append(x.findings, g)
		return
	}
	worst := &x.findings[k]
	others := g.Where.Panels
	if worse(&g, worst) {
		others = worst.Where.Panels
		*worst = g
	}
	for _, id := range others {
		if !slices.Contains(worst.Where.Panels, id) {
			worst.Where.Panels = append(worst.Where.Panels, id)
		}
	}
}

// sameAmount is the fraction by which amounts of mirrored faults may differ by
// rounding.
const sameAmount = 1e-9

// worse tells whether a finding is graver than another, or of as much grave and
// more, or, as of two that mirror each other, of as much and sooner.
func worse(g, f *finding.Finding) bool {
	switch more := g.Amount.Value - f.Amount.Value; {
	case g.Severity != f.Severity:
		return g.Severity == finding.Error
	case math.Abs(more) > sameAmount*math.Abs(f.Amount.Value):
		return more > 0
	default:
		return g.At.From < f.At.From
	}
}

// foundOtherwise tells whether another exam finds the same: pieces that pass
// through each other before they are shut, or the end walls of a box in each
// other's way.
func (x *exam) foundOtherwise(f *stack.Fault) bool {
	if f.Kind != stack.MustPass {
		return false
	}
	for _, m := range append([]int{kinematics.Spread}, f.Mechanisms...) {
		for _, n := range f.Mechanisms {
			if m <= n && x.contacts[[2]int{m, n}] {
				return true
			}
		}
	}
	if len(f.Mechanisms) != 1 {
		return false
	}
	box, ok := x.d.Mechanisms[f.Mechanisms[0]].Spec.(*design.Box)
	return ok && box.Ends == design.FoldIn && !slices.ContainsFunc(f.IDs, func(id string) bool {
		return !strings.HasPrefix(id, x.d.Mechanisms[f.Mechanisms[0]].ID+".")
	})
}

func (x *exam) ofFault(f *stack.Fault) finding.Finding {
	g := finding.Finding{
		Mechanism: x.latest(f.Mechanisms), Severity: finding.Error,
		Where: finding.Where{Panels: x.panelsOf(f), Point: f.Point, HasPoint: true},
	}
	list := andList(f.IDs)
	switch f.Kind {
	case stack.MustPass:
		g.Code, g.Amount = finding.LayersTrapped, finding.Length(x.d, f.Amount)
		g.Message = fmt.Sprintf("%s would have to pass through each other to lie flat: one reaches %s past the other.", list, g.Amount)
	case stack.ThroughCrease:
		g.Code, g.Amount = finding.LayersTrapped, finding.Length(x.d, 0)
		g.Message = fmt.Sprintf("%s cannot lie flat: %s.", list, caught(f.IDs))
	case stack.GluedTwice:
		per := x.d.Units.PerUnit()
		g.Code, g.Amount = finding.GluedTwice, finding.Amount{Value: f.Area / (per * per), Unit: string(x.d.Units) + "²"}
		g.Message = fmt.Sprintf("%s are glued to one place of %s, which they share by %s.", list, f.Panel, g.Amount)
		if !f.Grave {
			g.Severity = finding.Warning
		}
	case stack.NotDecided:
		g.Code, g.Severity, g.Amount = finding.StackUndecided, finding.Warning, finding.Length(x.d, 0)
		g.Message = fmt.Sprintf("No order was found in which %s lie on each other.", list)
		if len(f.IDs) == 0 {
			g.Message, g.Where.HasPoint = "Too much lies on each other in the shut page to look at all of it.", false
		}
	}
	return g
}

// caught says what is in the way of what.
func caught(ids []string) string {
	if len(ids) == 3 {
		return fmt.Sprintf("%s lies between %s and %s where these are joined", ids[0], ids[1], ids[2])
	}
	return fmt.Sprintf("%s and %s are joined in the same place as %s and %s, and lie crosswise", ids[0], ids[1], ids[2], ids[3])
}

func andList(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " and " + words[last]
}

// latest is the mechanism that is made last, and so the one to change; the
// spread where there is none.
func (x *exam) latest(mechanisms []int) int {
	for _, m := range slices.Backward(x.d.Order()) {
		if slices.Contains(mechanisms, m) {
			return m
		}
	}
	return kinematics.Spread
}

// panelsOf lists the panels among the pieces of a fault, and those that its tabs
// are of.
func (x *exam) panelsOf(f *stack.Fault) []string {
	list := []string{}
	add := func(id string) {
		if id != "" && !slices.Contains(list, id) {
			list = append(list, id)
		}
	}
	for _, id := range f.IDs {
		if x.PanelIndex(id) >= 0 {
			add(id)
		} else if fold := x.FoldIndex(id); fold >= 0 {
			add(x.Panels[x.Folds[fold].Panels[1]].ID)
		}
	}
	add(f.Panel)
	return list
}

// addThickness holds the thickest place against what the design allows, and
// against what a gutter takes in.
func (x *exam) addThickness() {
	spot := &x.shut.Thickest
	most := x.d.Spread.MaxShutThickness
	where := finding.Where{Panels: x.panelsAt(spot), Point: spot.Point, HasPoint: true}
	if over := spot.Thickness - most; most > 0 && over > flatRounding {
		x.findings = append(x.findings, finding.Finding{
			Code: finding.StackTooThick, Severity: finding.Error, Mechanism: kinematics.Spread,
			Message: fmt.Sprintf("The shut spread is %s thick %s, %s more than the %s allowed.",
				finding.Length(x.d, spot.Thickness), x.pileText(spot), finding.Length(x.d, over), finding.Length(x.d, most)),
			Amount: finding.Length(x.d, over), Where: where,
		})
	}
	if between := x.shut.Between; between > thickGutter {
		x.findings = append(x.findings, finding.Finding{
			Code: finding.ThicknessMatters, Severity: finding.Note, Mechanism: kinematics.Spread,
			Message: fmt.Sprintf("What lies between the shut pages is %s thick %s; one score in the gutter takes in about %s (common practice).",
				finding.Length(x.d, between), x.pileText(spot), finding.Length(x.d, thickGutter)),
			Amount: finding.Length(x.d, between), Where: where,
		})
	}
}

// flatRounding is a thickness that is rounding, mm.
const flatRounding = 1e-9

// pileText says where the thickest place is and what lies there.
func (x *exam) pileText(spot *stack.Spot) string {
	at := func(mm float64) string { return finding.Length(x.d, mm).String() }
	text := fmt.Sprintf("%s from the gutter and %s up, where %d layers of paper", at(spot.Point.Z), at(spot.Point.Y), spot.Layers)
	switch spot.Films {
	case 0:
	case 1:
		text += " and a film of glue"
	default:
		text += fmt.Sprintf(" and %d films of glue", spot.Films)
	}
	return text + " lie on each other"
}

func (x *exam) panelsAt(spot *stack.Spot) []string {
	list := []string{}
	for _, i := range spot.Pieces {
		if p := &x.shut.Pieces[i]; p.Sort == stack.Panel {
			list = append(list, p.ID)
		}
	}
	return list
}

// within tells whether a list has all of the others.
func within(few, list []int) bool {
	return !slices.ContainsFunc(few, func(m int) bool { return !slices.Contains(list, m) })
}
