package api

import (
	"context"
	"errors"
	"fmt"

	"foldwright/solver/creep"
	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/pattern"
)

// PatternOptions are the allowances of a pattern, as lengths in the design's
// units, and how it is drawn; nil is the default.
type PatternOptions struct {
	SlotLengthClearance, SlotGapClearance, PartSpacing, LabelHeight *float64
	MinWeb, MinRadius                                               *float64
	// ThicknessAllowance is the factor of the room for layers; 0 leaves none.
	ThicknessAllowance *float64

	Drawing DrawingOptions
}

// Parts works out the flat parts, without allowances for thickness.
func (p *Pipeline) Parts(ctx context.Context, doc *Document, options PatternOptions) (parts *pattern.Pattern, err error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	return p.partsOf(ctx, doc, p.compile(ctx, doc), options)
}

// allowed gives the parts with the allowances asked for, and each of those.
func (p *Pipeline) allowed(ctx context.Context, doc *Document, options PatternOptions) (parts *pattern.Pattern, changes []creep.Change, err error) {
	factor := 0.0
	if options.ThicknessAllowance != nil {
		factor = *options.ThicknessAllowance
	}
	if !(factor >= 0 && factor <= maxAllowance) {
		return nil, nil, &optionFault{"thickness_allowance", OutOfRange, fmt.Sprintf("must be from 0 to %d", maxAllowance)}
	}
	if err := ctx.Err(); err != nil {
		return nil, nil, err
	}
	a := p.compile(ctx, doc)
	parts, err = p.partsOf(ctx, doc, a, options)
	if err != nil || factor == 0 {
		return parts, nil, err
	}
	roomy := *doc
	p.timed(ctx, stagePattern, func() { roomy.Design, changes, err = creep.Allow(a, parts, factor, stopOf(ctx)) })
	if err = stopped(ctx, err); err != nil || len(changes) == 0 {
		return parts, nil, err
	}
	parts, err = p.partsOf(ctx, &roomy, p.compile(ctx, &roomy), options)
	return parts, changes, err
}

// maxAllowance is twice what round corners take.
const maxAllowance = 3

func (p *Pipeline) partsOf(ctx context.Context, doc *Document, a *kinematics.Assembly, options PatternOptions) (parts *pattern.Pattern, err error) {
	made, err := options.inMillimetres(doc.Design.Units)
	if err != nil {
		return nil, err
	}
	made.Stop = stopOf(ctx)
	p.timed(ctx, stagePattern, func() { parts, err = pattern.Make(a, made) })
	if refused := (*pattern.OptionError)(nil); errors.As(err, &refused) {
		return nil, optionRefused(refused, doc.Design)
	}
	return parts, stopped(ctx, err)
}

func (o *PatternOptions) inMillimetres(units design.Units) (out pattern.Options, err error) {
	out = pattern.DefaultOptions()
	set := func(to *float64, from *float64) {
		if from != nil {
			*to = *from * units.PerUnit()
		}
	}
	set(&out.SlotLengthClearance, o.SlotLengthClearance)
	set(&out.SlotGapClearance, o.SlotGapClearance)
	set(&out.PartSpacing, o.PartSpacing)
	set(&out.LabelHeight, o.LabelHeight)
	set(&out.MinWeb, o.MinWeb)
	set(&out.MinRadius, o.MinRadius)
	out.Finish, err = o.Drawing.finish(units)
	return out, err
}

func optionRefused(e *pattern.OptionError, d *design.Design) error {
	return &optionFault{e.Name, OutOfRange, fmt.Sprintf("must be from %s to %s", d.Show(e.Min), d.Show(e.Max))}
}

// pathDecimals is the precision of path data in answers: a tenth of a
// micrometre in mm, under three micrometres in inches.
const pathDecimals = 4

// wirePattern gives a pattern in the design's units.
func wirePattern(doc *Document, p *pattern.Pattern, changes []creep.Change) *Pattern {
	w := patternWire{perUnit: doc.Design.Units.PerUnit()}
	out := &Pattern{
		Units:      Units(doc.Design.Units),
		DesignHash: doc.Hash,
		Parts:      make([]Part, len(p.Parts)),
		Joints:     make([]GlueJoint, len(p.Joints)),
		Problems:   make([]PatternProblem, len(p.Problems)),
		Allowances: wireAllowances(doc, changes),
	}
	for i := range p.Parts {
		out.Parts[i] = w.part(&p.Parts[i])
	}
	id := func(mechanism int) string { return doc.Design.Mechanisms[mechanism].ID }
	for i, j := range p.Joints {
		out.Joints[i] = GlueJoint{
			Label: j.Label, Id: j.ID, Mechanism: id(j.Mechanism), Part: j.Part, Host: j.Host,
			Slotted: j.Slotted, Glued: !j.Dry, Length: w.length(j.Length), Depth: w.length(j.Depth), Shoulder: w.length(j.Shoulder),
		}
	}
	for i, f := range p.Problems {
		out.Problems[i] = PatternProblem{Code: PatternProblemCode(f.Code), Pointer: f.Pointer, Detail: f.Detail}
		if f.Mechanism != kinematics.Spread {
			out.Problems[i].Mechanism = &doc.Design.Mechanisms[f.Mechanism].ID
		}
	}
	return out
}

func wireAllowances(doc *Document, changes []creep.Change) []AppliedAllowance {
	out := make([]AppliedAllowance, len(changes))
	for i, c := range changes {
		out[i] = AppliedAllowance{
			Part: doc.Design.Mechanisms[c.Mechanism].ID, Pointer: c.Pointer,
			Before: round6(c.Before), After: round6(c.After), Unit: c.Unit, Layers: c.Layers,
		}
	}
	return out
}

// patternWire turns mm into the design's units.
type patternWire struct{ perUnit float64 }

func (w patternWire) length(mm float64) float64 { return round6(mm / w.perUnit) }

func (w patternWire) point(p geom.Vec2) Point2 { return Point2{w.length(p.X), w.length(p.Y)} }

func (w patternWire) path(p geom.Path) string {
	return geom.FormatPath(p.Transform(geom.Scale(1/w.perUnit)), pathDecimals)
}

func (w patternWire) part(p *pattern.Part) Part {
	size := p.Size()
	out := Part{
		Id: p.ID, Name: p.Name, Count: p.Count,
		Size:      Size{Width: w.length(size.X), Height: w.length(size.Y)},
		Outline:   w.path(p.Outline),
		Holes:     w.path(p.Holes),
		CutLength: w.length(p.CutLength()),
		Area:      round6(p.Area() / (w.perUnit * w.perUnit)),
		Grain:     Point2{round6(p.Grain.X), round6(p.Grain.Y)},
		Creases:   make([]Crease, len(p.Creases)),
		Slots:     make([]Slot, len(p.Slots)),
		Glue:      make([]Glue, len(p.Glue)),
	}
	if p.Mechanism != "" {
		out.Mechanism = &p.Mechanism
	}
	for i, c := range p.Creases {
		out.Creases[i] = Crease{
			Id: c.ID, Kind: CreaseKind(c.Kind.String()), From: w.point(c.From), To: w.point(c.To),
			Angle: AngleRange{Min: round6(c.AngleMin.Degrees()), Max: round6(c.AngleMax.Degrees())},
		}
	}
	for i, s := range p.Slots {
		out.Slots[i] = Slot{Label: s.Label, Joint: s.Joint, Path: w.path(s.Path)}
	}
	for i, g := range p.Glue {
		out.Glue[i] = Glue{Label: g.Label, Joint: g.Joint, Path: w.path(g.Path), On: g.Part, Back: g.OnBack}
	}
	return out
}
