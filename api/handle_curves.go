package api

import (
	"context"
	"net/http"
)

// Curves answers POST /v1/curves.
func (s *Server) Curves(ctx context.Context, request CurvesRequestObject) (CurvesResponseObject, error) {
	body := request.Body
	doc, err := s.posted(ctx, body.Design, body.Example)
	if err != nil {
		return nil, err
	}
	options := CurvesOptions{Opening: body.Opening, Width: body.Width}
	if body.Measures != nil {
		options.Measures = *body.Measures
	}
	if body.Sweep != nil {
		options.Sweep = SweepOptions{From: body.Sweep.From, To: body.Sweep.To, Steps: body.Sweep.Steps}
		fill(&options.Sweep.Driver, body.Sweep.Driver)
	}
	return s.curvesIn(ctx, doc, options, exchangeOf(ctx).media, inBody)
}

func (s *Server) curvesIn(ctx context.Context, doc *Document, options CurvesOptions, media string, where optionPlace) (*answer, error) {
	body, err := s.pipeline.Curves(ctx, doc, options, media)
	if err != nil {
		return nil, where.fault(err)
	}
	return newAnswer(http.StatusOK, media, body).with("Cache-Control", cacheAskEach), nil
}

// queryCurves answers a GET for curves.
func (s *Server) queryCurves(ctx context.Context, doc *Document, q CurvesVersionParams, media string) (*answer, error) {
	options := CurvesOptions{Sweep: SweepOptions{From: q.From, To: q.To, Steps: q.Steps}, Opening: q.Opening, Width: q.Width}
	fill(&options.Sweep.Driver, q.Sweep)
	if q.Measures != nil {
		options.Measures = *q.Measures
	}
	return s.kept(s.curvesIn(ctx, doc, options, media, inQuery()))(q.IfNoneMatch)
}

// CurvesVersion answers GET /v1/designs/{id}/versions/{n}/curves.
func (s *Server) CurvesVersion(ctx context.Context, request CurvesVersionRequestObject) (CurvesVersionResponseObject, error) {
	doc, err := s.versionDocument(ctx, request.Id, request.N)
	if err != nil {
		return nil, err
	}
	return s.queryCurves(ctx, doc, request.Params, exchangeOf(ctx).media)
}

// CurvesExample answers GET /v1/examples/{name}/curves.
func (s *Server) CurvesExample(ctx context.Context, request CurvesExampleRequestObject) (CurvesExampleResponseObject, error) {
	doc, err := s.examples.find(request.Name)
	if err != nil {
		return nil, err
	}
	return s.queryCurves(ctx, doc, CurvesVersionParams(request.Params), exchangeOf(ctx).media)
}

// CurvesVersionJson answers GET /v1/designs/{id}/versions/{n}/curves.json.
func (s *Server) CurvesVersionJson(ctx context.Context, request CurvesVersionJsonRequestObject) (CurvesVersionJsonResponseObject, error) {
	doc, err := s.versionDocument(ctx, request.Id, request.N)
	if err != nil {
		return nil, err
	}
	return s.asFile(doc.Design.Title, curvesFile)(s.queryCurves(ctx, doc, CurvesVersionParams(request.Params), MediaJSON))
}

// CurvesExampleJson answers GET /v1/examples/{name}/curves.json.
func (s *Server) CurvesExampleJson(ctx context.Context, request CurvesExampleJsonRequestObject) (CurvesExampleJsonResponseObject, error) {
	doc, err := s.examples.find(request.Name)
	if err != nil {
		return nil, err
	}
	return s.asFile(request.Name, curvesFile)(s.queryCurves(ctx, doc, CurvesVersionParams(request.Params), MediaJSON))
}

// CurvesVersionCsv answers GET /v1/designs/{id}/versions/{n}/curves.csv.
func (s *Server) CurvesVersionCsv(ctx context.Context, request CurvesVersionCsvRequestObject) (CurvesVersionCsvResponseObject, error) {
	doc, err := s.versionDocument(ctx, request.Id, request.N)
	if err != nil {
		return nil, err
	}
	return s.asFile(doc.Design.Title, curvesFile)(s.queryCurves(ctx, doc, CurvesVersionParams(request.Params), MediaCSV))
}

// CurvesExampleCsv answers GET /v1/examples/{name}/curves.csv.
func (s *Server) CurvesExampleCsv(ctx context.Context, request CurvesExampleCsvRequestObject) (CurvesExampleCsvResponseObject, error) {
	doc, err := s.examples.find(request.Name)
	if err != nil {
		return nil, err
	}
	return s.asFile(request.Name, curvesFile)(s.queryCurves(ctx, doc, CurvesVersionParams(request.Params), MediaCSV))
}

// CurvesVersionSvg answers GET /v1/designs/{id}/versions/{n}/curves.svg.
func (s *Server) CurvesVersionSvg(ctx context.Context, request CurvesVersionSvgRequestObject) (CurvesVersionSvgResponseObject, error) {
	doc, err := s.versionDocument(ctx, request.Id, request.N)
	if err != nil {
		return nil, err
	}
	return s.asFile(doc.Design.Title, curvesFile)(s.queryCurves(ctx, doc, CurvesVersionParams(request.Params), MediaSVG))
}

// CurvesExampleSvg answers GET /v1/examples/{name}/curves.svg.
func (s *Server) CurvesExampleSvg(ctx context.Context, request CurvesExampleSvgRequestObject) (CurvesExampleSvgResponseObject, error) {
	doc, err := s.examples.find(request.Name)
	if err != nil {
		return nil, err
	}
	return s.asFile(request.Name, curvesFile)(s.queryCurves(ctx, doc, CurvesVersionParams(request.Params), MediaSVG))
}

// CurvesVersionPng answers GET /v1/designs/{id}/versions/{n}/curves.png.
func (s *Server) CurvesVersionPng(ctx context.Context, request CurvesVersionPngRequestObject) (CurvesVersionPngResponseObject, error) {
	doc, err := s.versionDocument(ctx, request.Id, request.N)
	if err != nil {
		return nil, err
	}
	return s.asFile(doc.Design.Title, curvesFile)(s.queryCurves(ctx, doc, CurvesVersionParams(request.Params), MediaPNG))
}

// CurvesExamplePng answers GET /v1/examples/{name}/curves.png.
func (s *Server) CurvesExamplePng(ctx context.Context, request CurvesExamplePngRequestObject) (CurvesExamplePngResponseObject, error) {
	doc, err := s.examples.find(request.Name)
	if err != nil {
		return nil, err
	}
	return s.asFile(request.Name, curvesFile)(s.queryCurves(ctx, doc, CurvesVersionParams(request.Params), MediaPNG))
}
