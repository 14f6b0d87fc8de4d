package api

import (
	"context"
	"net/http"
)

// Model answers POST /v1/model.
func (s *Server) Model(ctx context.Context, request ModelRequestObject) (ModelResponseObject, error) {
	body := request.Body
	doc, err := s.posted(ctx, body.Design, body.Example)
	if err != nil {
		return nil, err
	}
	options := ModelOptions{From: body.From, To: body.To, Opening: body.Opening, Drivers: bodyDrivers(body.Drivers), Seconds: body.Seconds}
	return s.modelOf(ctx, doc, options, inBody)
}

func (s *Server) modelOf(ctx context.Context, doc *Document, options ModelOptions, where optionPlace) (*answer, error) {
	body, err := s.pipeline.Model(ctx, doc, options)
	if err != nil {
		return nil, where.fault(err)
	}
	return newAnswer(http.StatusOK, MediaGLB, body).with("Cache-Control", cacheAskEach), nil
}

// queryModel answers a GET for a model.
func (s *Server) queryModel(ctx context.Context, doc *Document, q ModelVersionGlbParams) (*answer, error) {
	drivers, err := queryDrivers(q.Driver)
	if err != nil {
		return nil, err
	}
	options := ModelOptions{From: q.From, To: q.To, Opening: q.Opening, Drivers: drivers, Seconds: q.Seconds}
	return s.kept(s.modelOf(ctx, doc, options, inQuery(drivers...)))(q.IfNoneMatch)
}

// ModelVersionGlb answers GET /v1/designs/{id}/versions/{n}/model.glb.
func (s *Server) ModelVersionGlb(ctx context.Context, request ModelVersionGlbRequestObject) (ModelVersionGlbResponseObject, error) {
	doc, err := s.versionDocument(ctx, request.Id, request.N)
	if err != nil {
		return nil, err
	}
	return s.asFile(doc.Design.Title, modelFile)(s.queryModel(ctx, doc, request.Params))
}

// ModelExampleGlb answers GET /v1/examples/{name}/model.glb.
func (s *Server) ModelExampleGlb(ctx context.Context, request ModelExampleGlbRequestObject) (ModelExampleGlbResponseObject, error) {
	doc, err := s.examples.find(request.Name)
	if err != nil {
		return nil, err
	}
	return s.asFile(request.Name, modelFile)(s.queryModel(ctx, doc, ModelVersionGlbParams(request.Params)))
}
