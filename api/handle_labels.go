package api

import (
	"context"

	"foldwright/storage"
)

// SetLabel answers PUT /v1/designs/{id}/versions/{n}/labels/{label}.
func (s *Server) SetLabel(ctx context.Context, request SetLabelRequestObject) (SetLabelResponseObject, error) {
	// The contract is held against the address as it came, with %2F for a slash.
	if !storage.ValidLabel(request.Label) {
		return nil, faultAt(invalidParameter, FieldError{Pointer: "/path/label", Code: BadFormat, Detail: "must be text without slashes or control characters"})
	}
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
