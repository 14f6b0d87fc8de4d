package api

import (
	"context"
	"net/http"
	"strings"
)

// Solve answers POST /v1/solve.
func (s *Server) Solve(ctx context.Context, request SolveRequestObject) (SolveResponseObject, error) {
	body := request.Body
	doc, err := s.posted(ctx, body.Design, body.Example)
	if err != nil {
		return nil, err
	}
	options := SolveOptions{Drivers: bodyDrivers(body.Drivers), Findings: orTrue(body.Findings), Conditioning: orFalse(body.Conditioning)}
	if body.Openings != nil {
		options.Openings = *body.Openings
	}
	if body.Sweep != nil {
		options.Sweep = &SweepOptions{From: body.Sweep.From, To: body.Sweep.To, Steps: body.Sweep.Steps}
		fill(&options.Sweep.Driver, body.Sweep.Driver)
	}
	return s.solution(ctx, doc, options, inBody)
}

// Check answers POST /v1/check.
func (s *Server) Check(ctx context.Context, request CheckRequestObject) (CheckResponseObject, error) {
	doc, err := s.posted(ctx, request.Body.Design, request.Body.Example)
	if err != nil {
		return nil, err
	}
	return s.report(ctx, doc, CheckOptions{ThicknessMap: orFalse(request.Body.ThicknessMap)})
}

// MakePattern answers POST /v1/pattern.
func (s *Server) MakePattern(ctx context.Context, request MakePatternRequestObject) (MakePatternResponseObject, error) {
	body := request.Body
	doc, err := s.posted(ctx, body.Design, body.Example)
	if err != nil {
		return nil, err
	}
	options := PatternOptions{
		SlotLengthClearance: body.SlotLengthClearance, SlotGapClearance: body.SlotGapClearance, PartSpacing: body.PartSpacing, LabelHeight: body.LabelHeight,
		MinWeb: body.MinWeb, MinRadius: body.MinRadius, ThicknessAllowance: body.ThicknessAllowance,
		Drawing: DrawingOptions{body.Style, body.Layers, body.Paper, body.Kerf, body.Scores},
	}
	return s.patternIn(ctx, exchangeOf(ctx).media, doc, options, inBody)
}

// posted is the design of a request: its own, or one of the examples.
func (s *Server) posted(ctx context.Context, raw Design, example *ExampleRef) (*Document, error) {
	switch {
	case example == nil && raw == nil:
		return nil, faultAt(invalidRequest, FieldError{Pointer: "/" + designField, Code: Missing, Detail: "required: a design, or the name of an example"})
	case example == nil:
		return s.pipeline.read(ctx, raw, "/"+designField)
	case raw != nil:
		return nil, faultAt(invalidRequest, FieldError{Pointer: "/example", Code: NotAllowed, Detail: "not together with a design; give one or the other"})
	}
	doc, err := s.examples.find(*example)
	if err != nil {
		return nil, faultAt(invalidRequest, FieldError{Pointer: "/example", Code: NotAllowed, Detail: "must be one of " + strings.Join(s.examples.names, ", ")})
	}
	return doc, nil
}

func (s *Server) solution(ctx context.Context, doc *Document, options SolveOptions, where optionPlace) (*answer, error) {
	body, err := s.pipeline.Solve(ctx, doc, options)
	if err != nil {
		return nil, where.fault(err)
	}
	return newAnswer(http.StatusOK, MediaJSON, body).with("Cache-Control", cacheAskEach), nil
}

func (s *Server) report(ctx context.Context, doc *Document, options CheckOptions) (*answer, error) {
	media := exchangeOf(ctx).media
	var body []byte
	var err error
	if media == MediaSVG {
		body, err = s.pipeline.CheckPicture(ctx, doc)
	} else {
		var report *Report
		if report, err = s.pipeline.Check(ctx, doc, options); err == nil {
			body, err = encode(report)
		}
	}
	if err != nil {
		return nil, err
	}
	return newAnswer(http.StatusOK, media, body).with("Cache-Control", cacheAskEach), nil
}

func (s *Server) patternIn(ctx context.Context, media string, doc *Document, options PatternOptions, where optionPlace) (*answer, error) {
	body, err := s.pipeline.Pattern(ctx, doc, options, media)
	if err != nil {
		return nil, where.fault(err)
	}
	return newAnswer(http.StatusOK, media, body).with("Cache-Control", cacheAskEach), nil
}

func orTrue(b *bool) bool { return b == nil || *b }

func orFalse(b *bool) bool { return b != nil && *b }
