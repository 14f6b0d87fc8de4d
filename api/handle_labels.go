package api

import "context"

// SetLabel answers PUT /v1/designs/{id}/versions/{n}/labels/{label}.
func (s *Server) SetLabel(ctx context.Context, request SetLabelRequestObject) (SetLabelResponseObject, error) {
	if err := s.store(ctx).SetLabel(ctx, request.Id, int(request.N), request.Label); err != nil {
		return nil, err
	}
	return SetLabel204Response{}, nil
}

// DropLabel answers DELETE /v1/designs/{id}/versions/{n}/labels/{label}.
func (s *Server) DropLabel(ctx context.Context, request DropLabelRequestObject) (DropLabelResponseObject, error) {
	if err := s.store(ctx).DropLabel(ctx, request.Id, int(request.N), request.Label); err != nil {
		return nil, err
	}
	return DropLabel204Response{}, nil
}
