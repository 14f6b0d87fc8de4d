package api

import (
	"context"

	"foldwright/storage"
)

// GetWorkspace answers GET /v1/workspace.
func (s *Server) GetWorkspace(ctx context.Context, _ GetWorkspaceRequestObject) (GetWorkspaceResponseObject, error) {
	usage, err := s.store(ctx).Usage(ctx)
	if err != nil {
		return nil, err
	}
	p := exchangeOf(ctx).principal
	return GetWorkspace200JSONResponse(Workspace{
		Name: p.workspace, Scope: AccessScope(p.scope), Usage: keptOf(usage), Limits: keptOf(storage.Usage(s.quota)),
	}), nil
}

func keptOf(u storage.Usage) Kept {
	return Kept{Designs: u.Designs, Versions: u.Versions, Bytes: u.Bytes}
}
