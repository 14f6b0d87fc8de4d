package api

import (
	"context"

	"foldwright/solver/compare"
	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/pattern"
)

// diffStep is the spacing of the openings at which measures are compared,
// degrees.
const diffStep = 15

// side is all that is known of one of two designs compared.
type side struct {
	doc      *Document
	assembly *kinematics.Assembly
	findings []finding.Finding
	parts    *pattern.Pattern
}

func (p *Pipeline) side(ctx context.Context, doc *Document) (s side, err error) {
	s = side{doc: doc, assembly: p.compile(ctx, doc)}
	if s.findings, err = p.findings(ctx, s.assembly); err != nil {
		return s, err
	}
	s.parts, err = p.partsOf(ctx, doc, s.assembly, PatternOptions{})
	return s, err
}

// Diff tells what changed from one design to another.
func (p *Pipeline) Diff(ctx context.Context, before, after *Document) (*Diff, error) {
	fields, err := fieldChanges(before.Raw, after.Raw)
	if err != nil {
		return nil, err
	}
	was, err := p.side(ctx, before)
	if err != nil {
		return nil, err
	}
	is, err := p.side(ctx, after)
	if err != nil {
		return nil, err
	}
	out := &Diff{Units: Units(after.Design.Units), Fields: make([]FieldChange, len(fields))}
	for i := range fields {
		out.Fields[i] = wireField(&fields[i])
	}
	p.timed(ctx, stageCompare, func() {
		openings := diffOpenings(before.Design, after.Design)
		for _, t := range openings {
			out.Openings = append(out.Openings, round6(t.Degrees()))
		}
		out.Measures = wireMeasureChanges(compare.Measures(was.assembly, is.assembly, openings, stopOf(ctx)), openings)
		out.Findings = wireFindingChanges(before.Design, after.Design, compare.Findings(before.Design, after.Design, was.findings, is.findings))
		out.Parts = wirePartChanges(after.Design, compare.Parts(was.assembly, is.assembly, was.parts, is.parts))
	})
	return out, ctx.Err()
}

// diffOpenings are evenly spaced openings that both designs have, and how far
// both open.
func diffOpenings(before, after *design.Design) []geom.Angle {
	fully := min(before.Spread.OpensTo, after.Spread.OpensTo)
	var list []geom.Angle
	for t := geom.Angle(0); t < fully-geom.Degrees(diffStep)/2; t += geom.Degrees(diffStep) {
		list = append(list, t)
	}
	return append(list, fully)
}

func wireField(f *fieldChange) FieldChange {
	out := FieldChange{Pointer: f.pointer, Change: ChangeKind(f.change), Before: f.before, After: f.after}
	if f.mechanism != "" {
		out.Mechanism = &f.mechanism
	}
	return out
}

func wireMeasureChanges(list []compare.Measure, openings []geom.Angle) []MeasureChange {
	out := make([]MeasureChange, len(list))
	for i := range list {
		m := &list[i]
		out[i] = MeasureChange{Id: m.ID, Title: m.Title, Unit: m.Unit, Change: ChangeKind(m.Change)}
		scaled := func(values []float64) *[]*float64 {
			if values == nil {
				return nil
			}
			wire := make([]*float64, len(values))
			for k, v := range values {
				wire[k] = known(v / m.Scale)
			}
			return &wire
		}
		out[i].Before, out[i].After = scaled(m.Before), scaled(m.After)
		if m.Greatest >= 0 {
			out[i].Greatest = &GreatestChange{
				Opening:    round6(openings[m.Greatest].Degrees()),
				Difference: round6((m.After[m.Greatest] - m.Before[m.Greatest]) / m.Scale),
			}
		}
	}
	return out
}

func wireFindingChanges(before, after *design.Design, list []compare.Finding) []FindingChange {
	out := make([]FindingChange, len(list))
	for i, f := range list {
		out[i].Change = ChangeKind(f.Change)
		if f.Before != nil {
			w := wireFinding(before, f.Before)
			out[i].Before = &w
		}
		if f.After != nil {
			w := wireFinding(after, f.After)
			out[i].After = &w
		}
	}
	return out
}

func wirePartChanges(d *design.Design, list []compare.Part) []PartChange {
	w := patternWire{perUnit: d.Units.PerUnit()}
	area := func(mm2 float64) float64 { return round6(mm2 / (w.perUnit * w.perUnit)) }
	of := func(p *pattern.Part) *PartFigures {
		if p == nil {
			return nil
		}
		size := p.Size()
		return &PartFigures{
			Size: Size{Width: w.length(size.X), Height: w.length(size.Y)}, Outline: w.path(p.Outline),
			Area: area(p.Area()), CutLength: w.length(p.CutLength()), Count: p.Count,
		}
	}
	out := make([]PartChange, len(list))
	for i := range list {
		p := &list[i]
		out[i] = PartChange{Id: p.ID, Change: ChangeKind(p.Change), Before: of(p.Before), After: of(p.After)}
		if p.Change == compare.Changed {
			gained, lost, strays := area(p.Gained), area(p.Lost), w.length(p.Strays)
			out[i].GainedArea, out[i].LostArea, out[i].Strays = &gained, &lost, &strays
			moved := []PartChangeMoved{}
			for _, m := range []struct {
				is   bool
				name PartChangeMoved
			}{{p.Scores, PartChangeMovedScores}, {p.Slots, PartChangeMovedSlots}, {p.Holes, PartChangeMovedHoles}, {p.Glue, PartChangeMovedGlue}} {
				if m.is {
					moved = append(moved, m.name)
				}
			}
			out[i].Moved = &moved
		}
	}
	return out
}
