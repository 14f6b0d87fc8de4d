package api

import (
	"context"
	"net/http"
)

// Tolerance answers POST /v1/tolerance.
func (s *Server) Tolerance(ctx context.Context, request ToleranceRequestObject) (ToleranceResponseObject, error) {
	doc, err := s.posted(ctx, request.Body.Design, request.Body.Example)
	if err != nil {
		return nil, err
	}
	found, err := s.pipeline.Tolerance(ctx, doc, request.Body)
	if err != nil {
		return nil, inBody.fault(err)
	}
	body, err := encode(found)
	if err != nil {
		return nil, err
	}
	return newAnswer(http.StatusOK, MediaJSON, body).with("Cache-Control", cacheAskEach), nil
}
