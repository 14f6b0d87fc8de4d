package api

import (
	"context"
	"net/http"
)

// DiffVersions answers GET /v1/designs/{id}/diff.
func (s *Server) DiffVersions(ctx context.Context, request DiffVersionsRequestObject) (DiffVersionsResponseObject, error) {
	from, to, err := s.versionsToCompare(ctx, request.Id, request.Params.From, request.Params.To)
	if err != nil {
		return nil, err
	}
	before, err := s.versionDocument(ctx, request.Id, from)
	if err != nil {
		return nil, err
	}
	after, err := s.versionDocument(ctx, request.Id, to)
	if err != nil {
		return nil, err
	}
	diff, err := s.pipeline.Diff(ctx, before, after)
	if err != nil {
		return nil, err
	}
	diff.From = VersionName{Version: from, DesignHash: before.Hash}
	diff.To = VersionName{Version: to, DesignHash: after.Hash}
	body, err := encode(diff)
	if err != nil {
		return nil, err
	}
	return s.kept(newAnswer(http.StatusOK, MediaJSON, body), nil)(request.Params.IfNoneMatch)
}

// versionsToCompare are the versions asked for: the newest, and the one before,
// where they are left out.
func (s *Server) versionsToCompare(ctx context.Context, id string, from, to *VersionNumber) (earlier, later VersionNumber, err error) {
	if to != nil {
		later = *to
	} else {
		newest, err := s.newest(ctx, id)
		if err != nil {
			return 0, 0, err
		}
		later = VersionNumber(newest.Number)
	}
	if from != nil {
		return *from, later, nil
	}
	return max(1, later-1), later, nil
}
