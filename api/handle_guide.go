package api

import (
	"context"
	"net/http"

	"foldwright/api/site"
)

// Guide answers POST /v1/guide.
func (s *Server) Guide(ctx context.Context, request GuideRequestObject) (GuideResponseObject, error) {
	body := request.Body
	doc, err := s.posted(ctx, body.Design, body.Example)
	if err != nil {
		return nil, err
	}
	options := GuideOptions{body.Copies, body.Tools, body.Pictures, body.Paper, body.Orientation}
	return s.guideIn(ctx, doc, options, exchangeOf(ctx).media, inBody)
}

func (s *Server) guideIn(ctx context.Context, doc *Document, options GuideOptions, media string, where optionPlace) (*answer, error) {
	body, err := s.pipeline.Guide(ctx, doc, options, media)
	if err != nil {
		return nil, where.fault(err)
	}
	a := newAnswer(http.StatusOK, media, body)
	if media == MediaHTML {
		a = pageAnswer(site.Whole(body))
	}
	return a.with("Cache-Control", cacheAskEach), nil
}

// queryGuide answers a GET for a guide.
func (s *Server) queryGuide(ctx context.Context, doc *Document, q GuideVersionParams, media string) (*answer, error) {
	options := GuideOptions{q.Copies, q.Tools, q.Pictures, q.Paper, q.Orientation}
	return s.kept(s.guideIn(ctx, doc, options, media, inQuery()))(q.IfNoneMatch)
}

// GuideVersion answers GET /v1/designs/{id}/versions/{n}/guide.
func (s *Server) GuideVersion(ctx context.Context, request GuideVersionRequestObject) (GuideVersionResponseObject, error) {
	doc, err := s.versionDocument(ctx, request.Id, request.N)
	if err != nil {
		return nil, err
	}
	return s.queryGuide(ctx, doc, request.Params, exchangeOf(ctx).media)
}

// GuideExample answers GET /v1/examples/{name}/guide.
func (s *Server) GuideExample(ctx context.Context, request GuideExampleRequestObject) (GuideExampleResponseObject, error) {
	doc, err := s.examples.find(request.Name)
	if err != nil {
		return nil, err
	}
	return s.queryGuide(ctx, doc, GuideVersionParams(request.Params), exchangeOf(ctx).media)
}

// GuideVersionJson answers GET /v1/designs/{id}/versions/{n}/guide.json.
func (s *Server) GuideVersionJson(ctx context.Context, request GuideVersionJsonRequestObject) (GuideVersionJsonResponseObject, error) {
	doc, err := s.versionDocument(ctx, request.Id, request.N)
	if err != nil {
		return nil, err
	}
	return s.asFile(doc.Design.Title, guideFile)(s.queryGuide(ctx, doc, GuideVersionParams(request.Params), MediaJSON))
}

// GuideExampleJson answers GET /v1/examples/{name}/guide.json.
func (s *Server) GuideExampleJson(ctx context.Context, request GuideExampleJsonRequestObject) (GuideExampleJsonResponseObject, error) {
	doc, err := s.examples.find(request.Name)
	if err != nil {
		return nil, err
	}
	return s.asFile(request.Name, guideFile)(s.queryGuide(ctx, doc, GuideVersionParams(request.Params), MediaJSON))
}

// GuideVersionHtml answers GET /v1/designs/{id}/versions/{n}/guide.html.
func (s *Server) GuideVersionHtml(ctx context.Context, request GuideVersionHtmlRequestObject) (GuideVersionHtmlResponseObject, error) {
	doc, err := s.versionDocument(ctx, request.Id, request.N)
	if err != nil {
		return nil, err
	}
	return s.asFile(doc.Design.Title, guideFile)(s.queryGuide(ctx, doc, GuideVersionParams(request.Params), MediaHTML))
}

// GuideExampleHtml answers GET /v1/examples/{name}/guide.html.
func (s *Server) GuideExampleHtml(ctx context.Context, request GuideExampleHtmlRequestObject) (GuideExampleHtmlResponseObject, error) {
	doc, err := s.examples.find(request.Name)
	if err != nil {
		return nil, err
	}
	return s.asFile(request.Name, guideFile)(s.queryGuide(ctx, doc, GuideVersionParams(request.Params), MediaHTML))
}

// GuideVersionPdf answers GET /v1/designs/{id}/versions/{n}/guide.pdf.
func (s *Server) GuideVersionPdf(ctx context.Context, request GuideVersionPdfRequestObject) (GuideVersionPdfResponseObject, error) {
	doc, err := s.versionDocument(ctx, request.Id, request.N)
	if err != nil {
		return nil, err
	}
	return s.asFile(doc.Design.Title, guideFile)(s.queryGuide(ctx, doc, GuideVersionParams(request.Params), MediaPDF))
}

// GuideExamplePdf answers GET /v1/examples/{name}/guide.pdf.
func (s *Server) GuideExamplePdf(ctx context.Context, request GuideExamplePdfRequestObject) (GuideExamplePdfResponseObject, error) {
	doc, err := s.examples.find(request.Name)
	if err != nil {
		return nil, err
	}
	return s.asFile(request.Name, guideFile)(s.queryGuide(ctx, doc, GuideVersionParams(request.Params), MediaPDF))
}
