package api

import (
	"context"
	"net/http"
)

// Vary answers POST /v1/vary.
func (s *Server) Vary(ctx context.Context, request VaryRequestObject) (VaryResponseObject, error) {
	doc, err := s.posted(ctx, request.Body.Design, request.Body.Example)
	if err != nil {
		return nil, err
	}
	media := exchangeOf(ctx).media
	body, err := s.pipeline.Vary(ctx, doc, request.Body, media)
	if err != nil {
		return nil, inBody.fault(err)
	}
	return newAnswer(http.StatusOK, media, body).with("Cache-Control", cacheAskEach), nil
}
