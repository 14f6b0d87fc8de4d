package api

import (
	"bytes"
	"context"
	"net/http"

	"github.com/prometheus/common/expfmt"
)

// GetOpenapi answers GET /openapi.json.
func (s *Server) GetOpenapi(_ context.Context, request GetOpenapiRequestObject) (GetOpenapiResponseObject, error) {
	return newAnswer(http.StatusOK, MediaJSON, s.contract).taggedByBody(cacheAskEach, request.Params.IfNoneMatch), nil
}

// GetHealth answers GET /healthz.
func (s *Server) GetHealth(context.Context, GetHealthRequestObject) (GetHealthResponseObject, error) {
	return GetHealth200JSONResponse{Status: HealthStatusOk}, nil
}

// GetReadiness answers GET /readyz.
func (s *Server) GetReadiness(ctx context.Context, _ GetReadinessRequestObject) (GetReadinessResponseObject, error) {
	if s.draining.Load() {
		return nil, &fault{kind: unavailable, detail: "the service is shutting down"}
	}
	if err := s.database.Ping(ctx); err != nil {
		return nil, &fault{kind: unavailable, detail: "the store does not answer", cause: err}
	}
	return GetReadiness200JSONResponse{Status: HealthStatusOk}, nil
}

// GetMetrics answers GET /metrics.
func (s *Server) GetMetrics(context.Context, GetMetricsRequestObject) (GetMetricsResponseObject, error) {
	families, err := s.metrics.registry.Gather()
	if err != nil {
		return nil, err
	}
	format := expfmt.NewFormat(expfmt.TypeTextPlain)
	var body bytes.Buffer
	encoder := expfmt.NewEncoder(&body, format)
	for _, family := range families {
		if err := encoder.Encode(family); err != nil {
			return nil, err
		}
	}
	return newAnswer(http.StatusOK, string(format), body.Bytes()), nil
}
