package api

import (
	"context"
	"net/http"
)

// Fit answers POST /v1/fit.
func (s *Server) Fit(ctx context.Context, request FitRequestObject) (FitResponseObject, error) {
	body := request.Body
	doc, err := s.posted(ctx, body.Design, body.Example)
	if err != nil {
		return nil, err
	}
	if (body.Goals == nil) == (body.Measurements == nil) {
		code := NotAllowed
		if body.Goals == nil {
			code = Missing
		}
		return nil, faultAt(invalidRequest, FieldError{Pointer: "/goals", Code: code, Detail: "give goals or measurements, one of the two"})
	}
	options := FitOptions{Vary: body.Vary}
	fill(&options.Goals, body.Goals)
	fill(&options.Measurements, body.Measurements)
	fill(&options.Keep, body.Keep)
	fill(&options.Starts, body.Starts)
	fill(&options.Seed, body.Seed)
	found, err := s.pipeline.Fit(ctx, doc, options)
	if err != nil {
		return nil, inBody.fault(fitRefused(err))
	}
	answer, err := encode(found)
	if err != nil {
		return nil, err
	}
	return newAnswer(http.StatusOK, MediaJSON, answer).with("Cache-Control", cacheAskEach), nil
}
