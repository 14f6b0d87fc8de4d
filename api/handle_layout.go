package api

import (
	"context"
	"net/http"
)

// Layout answers POST /v1/layout.
func (s *Server) Layout(ctx context.Context, request LayoutRequestObject) (LayoutResponseObject, error) {
	doc, err := s.posted(ctx, request.Body.Design, request.Body.Example)
	if err != nil {
		return nil, err
	}
	return s.layoutIn(ctx, doc, request.Body, exchangeOf(ctx).media, inBody)
}

func (s *Server) layoutIn(ctx context.Context, doc *Document, request *LayoutRequest, media string, where optionPlace) (*answer, error) {
	body, err := s.pipeline.Layout(ctx, doc, request, media)
	if err != nil {
		return nil, where.fault(err)
	}
	return newAnswer(http.StatusOK, media, body).with("Cache-Control", cacheAskEach), nil
}

// queryLayout answers a GET for a run on sheets of one paper.
func (s *Server) queryLayout(ctx context.Context, doc *Document, q LayoutVersionParams, media string) (*answer, error) {
	request := &LayoutRequest{
		Copies: q.Copies, Margin: q.Margin, Spacing: q.Spacing, Registration: q.Registration, KeepTogether: q.KeepTogether,
		Seed: q.Seed, Effort: q.Effort, TimeLimit: q.TimeLimit, Sheet: q.Sheet,
		SlotLengthClearance: q.SlotLengthClearance, SlotGapClearance: q.SlotGapClearance, LabelHeight: q.LabelHeight,
		ThicknessAllowance: q.ThicknessAllowance,
		Layers:             q.Layers, Kerf: q.Kerf,
	}
	if q.Stock != nil {
		request.Stocks = &[]LayoutStock{{Paper: q.Stock}}
	}
	if q.Style != nil {
		request.Style = &DrawingStyle{Base: q.Style}
	}
	if q.Scores != nil {
		request.Scores = &DrawingScores{As: q.Scores}
	}
	switch {
	case q.BedWidth != nil && q.BedHeight != nil:
		request.Bed = &LayoutBed{Width: *q.BedWidth, Height: *q.BedHeight, Margin: q.BedMargin}
	case q.BedWidth != nil || q.BedHeight != nil || q.BedMargin != nil:
		return nil, inQuery().fault(&optionFault{"bed/width", Missing, "a bed has bed_width and bed_height; give both"})
	}
	return s.kept(s.layoutIn(ctx, doc, request, media, inQuery()))(q.IfNoneMatch)
}

// LayoutVersion answers GET /v1/designs/{id}/versions/{n}/layout.
func (s *Server) LayoutVersion(ctx context.Context, request LayoutVersionRequestObject) (LayoutVersionResponseObject, error) {
	doc, err := s.versionDocument(ctx, request.Id, request.N)
	if err != nil {
		return nil, err
	}
	return s.queryLayout(ctx, doc, request.Params, exchangeOf(ctx).media)
}

// LayoutVersionJson answers GET /v1/designs/{id}/versions/{n}/layout.json.
func (s *Server) LayoutVersionJson(ctx context.Context, request LayoutVersionJsonRequestObject) (LayoutVersionJsonResponseObject, error) {
	doc, err := s.versionDocument(ctx, request.Id, request.N)
	if err != nil {
		return nil, err
	}
	return s.asFile(doc.Design.Title, layoutFile)(s.queryLayout(ctx, doc, LayoutVersionParams(request.Params), MediaJSON))
}

// LayoutVersionSvg answers GET /v1/designs/{id}/versions/{n}/layout.svg.
func (s *Server) LayoutVersionSvg(ctx context.Context, request LayoutVersionSvgRequestObject) (LayoutVersionSvgResponseObject, error) {
	doc, err := s.versionDocument(ctx, request.Id, request.N)
	if err != nil {
		return nil, err
	}
	return s.asFile(doc.Design.Title, layoutFile)(s.queryLayout(ctx, doc, LayoutVersionParams(request.Params), MediaSVG))
}

// LayoutVersionDxf answers GET /v1/designs/{id}/versions/{n}/layout.dxf.
func (s *Server) LayoutVersionDxf(ctx context.Context, request LayoutVersionDxfRequestObject) (LayoutVersionDxfResponseObject, error) {
	doc, err := s.versionDocument(ctx, request.Id, request.N)
	if err != nil {
		return nil, err
	}
	return s.asFile(doc.Design.Title, layoutFile)(s.queryLayout(ctx, doc, LayoutVersionParams(request.Params), MediaDXF))
}

// LayoutVersionPdf answers GET /v1/designs/{id}/versions/{n}/layout.pdf.
func (s *Server) LayoutVersionPdf(ctx context.Context, request LayoutVersionPdfRequestObject) (LayoutVersionPdfResponseObject, error) {
	doc, err := s.versionDocument(ctx, request.Id, request.N)
	if err != nil {
		return nil, err
	}
	return s.asFile(doc.Design.Title, layoutFile)(s.queryLayout(ctx, doc, LayoutVersionParams(request.Params), MediaPDF))
}

// LayoutExample answers GET /v1/examples/{name}/layout.
func (s *Server) LayoutExample(ctx context.Context, request LayoutExampleRequestObject) (LayoutExampleResponseObject, error) {
	doc, err := s.examples.find(request.Name)
	if err != nil {
		return nil, err
	}
	return s.queryLayout(ctx, doc, LayoutVersionParams(request.Params), exchangeOf(ctx).media)
}

// LayoutExampleJson answers GET /v1/examples/{name}/layout.json.
func (s *Server) LayoutExampleJson(ctx context.Context, request LayoutExampleJsonRequestObject) (LayoutExampleJsonResponseObject, error) {
	doc, err := s.examples.find(request.Name)
	if err != nil {
		return nil, err
	}
	return s.asFile(request.Name, layoutFile)(s.queryLayout(ctx, doc, LayoutVersionParams(request.Params), MediaJSON))
}

// LayoutExampleSvg answers GET /v1/examples/{name}/layout.svg.
func (s *Server) LayoutExampleSvg(ctx context.Context, request LayoutExampleSvgRequestObject) (LayoutExampleSvgResponseObject, error) {
	doc, err := s.examples.find(request.Name)
	if err != nil {
		return nil, err
	}
	return s.asFile(request.Name, layoutFile)(s.queryLayout(ctx, doc, LayoutVersionParams(request.Params), MediaSVG))
}

// LayoutExampleDxf answers GET /v1/examples/{name}/layout.dxf.
func (s *Server) LayoutExampleDxf(ctx context.Context, request LayoutExampleDxfRequestObject) (LayoutExampleDxfResponseObject, error) {
	doc, err := s.examples.find(request.Name)
	if err != nil {
		return nil, err
	}
	return s.asFile(request.Name, layoutFile)(s.queryLayout(ctx, doc, LayoutVersionParams(request.Params), MediaDXF))
}

// LayoutExamplePdf answers GET /v1/examples/{name}/layout.pdf.
func (s *Server) LayoutExamplePdf(ctx context.Context, request LayoutExamplePdfRequestObject) (LayoutExamplePdfResponseObject, error) {
	doc, err := s.examples.find(request.Name)
	if err != nil {
		return nil, err
	}
	return s.asFile(request.Name, layoutFile)(s.queryLayout(ctx, doc, LayoutVersionParams(request.Params), MediaPDF))
}
