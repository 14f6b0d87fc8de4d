package api

import (
	"bytes"
	"context"
	"encoding/json"

	"foldwright/solver/collide"
	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/geom"
	"foldwright/solver/stack"
)

// CheckOptions are what a report holds.
type CheckOptions struct {
	ThicknessMap bool // of the whole shut page
}

// Check judges the design.
func (p *Pipeline) Check(ctx context.Context, doc *Document, options CheckOptions) (*Report, error) {
	judged, err := p.judge(ctx, p.compile(ctx, doc), stack.Options{Map: options.ThicknessMap})
	if err != nil {
		return nil, err
	}
	return &Report{
		Units:      Units(doc.Design.Units),
		DesignHash: doc.Hash,
		Verdict:    verdict(judged.Findings),
		Findings:   wireFindings(doc.Design, judged.Findings),
		Clearance:  wireClearance(doc.Design, judged.Swept),
		Shut:       wireShut(doc.Design, judged.Shut),
	}, nil
}

// CheckPicture draws the map of the thickness of the shut page.
func (p *Pipeline) CheckPicture(ctx context.Context, doc *Document) ([]byte, error) {
	judged, err := p.judge(ctx, p.compile(ctx, doc), stack.Options{Map: true})
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	p.timed(ctx, stageDraw, func() { err = stack.WriteSVG(&out, doc.Design, judged.Shut) })
	return out.Bytes(), err
}

func wireClearance(d *design.Design, swept *collide.Result) ClearanceProof {
	out := ClearanceProof{Pairs: swept.Pairs, Proved: swept.Proved, AtEnds: swept.AtEnds, Estimated: []string{}}
	for _, m := range swept.Estimated {
		out.Estimated = append(out.Estimated, d.Mechanisms[m].ID)
	}
	return out
}

func verdict(found []finding.Finding) Verdict {
	v := VerdictOk
	for i := range found {
		switch found[i].Severity {
		case finding.Error:
			return VerdictErrors
		case finding.Warning:
			v = VerdictWarnings
		}
	}
	return v
}

// wireFindings gives findings in the design's units and in degrees.
func wireFindings(d *design.Design, found []finding.Finding) []Finding {
	list := make([]Finding, len(found))
	for i := range found {
		list[i] = wireFinding(d, &found[i])
	}
	return list
}

func wireFinding(d *design.Design, f *finding.Finding) Finding {
	out := Finding{
		Code:     FindingCode(f.Code),
		Severity: Severity(f.Severity),
		Message:  f.Message,
		Pointer:  f.Pointer,
		At:       Interval{From: round6(f.At.From.Degrees()), To: round6(f.At.To.Degrees())},
		Amount:   Amount{Value: round6(f.Amount.Value), Unit: f.Amount.Unit},
		Where:    Where{Panels: append([]string{}, f.Where.Panels...)},
	}
	if h := f.Hand; h != nil {
		unit, per := driverUnit(h.Quantity, d.Units)
		out.Hand = &ByHand{Driver: h.ID, Unit: unit, From: round6(h.From / per), To: round6(h.To / per)}
	}
	if f.Where.HasPoint {
		point := wirePoint(f.Where.Point, d.Units.PerUnit())
		out.Where.Point = &point
	}
	if f.Where.Flat.Part != "" {
		at := f.Where.Flat.Point.Mul(1 / d.Units.PerUnit())
		out.Where.Flat = &FlatPlace{Part: f.Where.Flat.Part, Point: Point2{round6(at.X), round6(at.Y)}}
	}
	if f.Remedy != nil {
		out.Remedy = &Remedy{Text: f.Remedy.Text, Changes: make([]Change, len(f.Remedy.Changes))}
		for i, c := range f.Remedy.Changes {
			// A remedy was tried as it stands: its value may not be rounded.
			out.Remedy.Changes[i] = Change{Pointer: c.Pointer, Value: c.Value, Unit: c.Unit}
			if c.Choice != "" {
				out.Remedy.Changes[i].Value = c.Choice
			}
		}
	}
	return out
}

func wirePoint(p geom.Vec3, perUnit float64) Point3 {
	return Point3{round6(p.X / perUnit), round6(p.Y / perUnit), round6(p.Z / perUnit)}
}

// encode writes an answer of the contract as JSON.
func encode(v any) ([]byte, error) {
	body, err := json.Marshal(v)
	if err != nil {
		return nil, err
	}
	return append(body, '\n'), nil
}
