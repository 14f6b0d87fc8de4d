package api

import (
	"bytes"
	"context"
	"errors"
	"fmt"

	"foldwright/solver/assemble"
	"foldwright/solver/draw"
	"foldwright/solver/guide"
)

// GuideOptions say what a guide is for; nil is the default.
type GuideOptions struct {
	Copies      *int
	Tools       *[]ToolName
	Pictures    *bool
	Paper       *GuidePaperName
	Orientation *GuideOrientation
}

// defaultGuidePaper is what most printers hold.
const defaultGuidePaper = GuidePaperNameA4

// Guide answers how to put a design together in the given media type.
func (p *Pipeline) Guide(ctx context.Context, doc *Document, options GuideOptions, media string) (body []byte, err error) {
	made, pages, err := options.inWords(media)
	if err != nil {
		return nil, err
	}
	if err := begin(ctx, nothingMore); err != nil {
		return nil, err
	}
	a := p.compile(ctx, doc)
	parts, err := p.partsOf(ctx, doc, a, PatternOptions{})
	if err != nil {
		return nil, err
	}
	made.Stop, made.Progress = stopOf(ctx), progressOf(ctx)
	var out bytes.Buffer
	p.timed(ctx, stageGuide, func() {
		plan := assemble.MakeUntil(a, parts, made.Stop)
		var g *guide.Guide
		if g, err = guide.Make(a, parts, &plan, made); err != nil {
			return
		}
		switch media {
		case MediaJSON:
			body, err = wireGuide(doc, g)
			return
		case MediaHTML:
			err = guide.WriteHTML(&out, g)
		case MediaPDF:
			err = guide.WritePDF(&out, g, pages)
		default:
			err = fmt.Errorf("api: no guide in %s", media)
		}
		body = out.Bytes()
	})
	return body, stopped(ctx, err)
}

func (o *GuideOptions) inWords(media string) (made guide.Options, pages guide.PDFOptions, err error) {
	made.Pictures = orTrue(o.Pictures)
	fill(&made.Copies, o.Copies)
	if o.Tools != nil {
		for _, tool := range *o.Tools {
			made.Tools = append(made.Tools, guide.Tool(tool))
		}
	}
	if (o.Paper != nil || o.Orientation != nil) && media != MediaPDF {
		name := "paper"
		if o.Paper == nil {
			name = "orientation"
		}
		return made, pages, &optionFault{name, NotAllowed, "only a PDF has pages; ask for " + MediaPDF}
	}
	name := defaultGuidePaper
	fill(&name, o.Paper)
	var known bool
	if pages.Paper, known = draw.FindPaper(string(name)); !known {
		return made, pages, errors.New("api: the contract has a paper that draw has not")
	}
	if o.Orientation != nil && *o.Orientation == GuideOrientationLandscape {
		pages.Orientation = draw.Landscape
	}
	return made, pages, nil
}

func wireGuide(doc *Document, g *guide.Guide) ([]byte, error) {
	out := &Guide{
		Units: Units(doc.Design.Units), DesignHash: doc.Hash, Title: g.Title, Intro: g.Intro,
		Facts: make([]GuideFact, len(g.Facts)), Notices: some(g.Notices), Cautions: make([]GuideCaution, len(g.Cautions)),
		Tools: some(g.Tools), Materials: some(g.Materials), Reading: some(g.Reading),
		Parts: make([]GuidePart, len(g.Parts)), Steps: make([]GuideStep, len(g.Steps)),
		FinalChecks: some(g.Final), Run: some(g.Run), Jigs: make([]GuideJig, len(g.Jigs)),
	}
	for i, f := range g.Facts {
		out.Facts[i] = GuideFact(f)
	}
	for i, c := range g.Cautions {
		out.Cautions[i] = GuideCaution{Title: c.Title, Text: c.Text}
		if c.Tool != "" {
			tool := ToolName(c.Tool)
			out.Cautions[i].Tool = &tool
		}
	}
	var err error
	for i := range g.Parts {
		part := &g.Parts[i]
		out.Parts[i] = GuidePart{Id: part.ID, Name: part.Name, Count: part.Count, Size: part.Size, Letters: some(part.Letters), Creases: part.Creases}
		if out.Parts[i].Picture, err = wirePicture(part.Picture); err != nil {
			return nil, err
		}
	}
	for i := range g.Steps {
		if out.Steps[i], err = wireStep(&g.Steps[i]); err != nil {
			return nil, err
		}
	}
	place := func(p guide.Place) GuidePlace {
		return GuidePlace{Page: GuidePlacePage(p.Page), FromGutter: round6(p.FromGutter), FromFoot: round6(p.FromFoot)}
	}
	for i, j := range g.Jigs {
		out.Jigs[i] = GuideJig{Letter: j.Letter, Part: j.Part, Line: j.Line, From: place(j.From), To: place(j.To)}
	}
	return encode(out)
}

func wireStep(s *guide.Step) (out GuideStep, err error) {
	out = GuideStep{
		Number: s.Number, Kind: GuideStepKind(s.Kind), Title: s.Title, Parts: some(s.Parts), Text: some(s.Text),
		Joints: make([]GuideJoint, len(s.Joints)), Checks: some(s.Checks), Wait: s.Wait,
	}
	for i, j := range s.Joints {
		out.Joints[i] = GuideJoint{Letter: j.Letter, Id: j.ID, Part: j.Part, Host: j.Host, OnBack: j.OnBack, Glued: !j.Dry}
	}
	if s.Picture != nil {
		out.Caption = &s.Caption
	}
	out.Picture, err = wirePicture(s.Picture)
	return out, err
}

func wirePicture(p *draw.Picture) (*string, error) {
	if p == nil {
		return nil, nil
	}
	var b bytes.Buffer
	err := draw.WritePicture(&b, p)
	svg := b.String()
	return &svg, err
}

// some is a list that JSON has as one even where it is empty.
func some(list []string) []string {
	if list == nil {
		return []string{}
	}
	return list
}
