package api

import (
	"context"
	"fmt"

	"foldwright/storage"
)

// SetLabel answers PUT /v1/designs/{id}/versions/{n}/labels/{label}.
func (s *Server) SetLabel(ctx context.Context, request SetLabelRequestObject) (SetLabelResponseObject, error) {
	if err := storage.CheckLabel(request.Label); err != nil {
		return nil, faultAt(invalidParameter, FieldError{Pointer: "/path/label", Code: BadFormat,
			Detail: "must be text without slashes or control characters, and not . or .. alone, which addresses cannot hold"})
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

// noLabel says which label is missing, and which there are.
func noLabel(err *storage.NoLabelError) string {
	missing := fmt.Sprintf("version %d has no label %q", err.Version, err.Label)
	switch {
	case err.On != 0:
		return fmt.Sprintf("%s; version %d has it", missing, err.On)
	case len(err.Has) == 0:
		return missing + ", nor any other; GET the list of versions for the labels of each"
	}
	return fmt.Sprintf("%s; it has %q", missing, err.Has)
}
