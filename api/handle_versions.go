package api

import (
	"context"
	"net/http"
)

// GetVersion answers GET /v1/designs/{id}/versions/{n}.
func (s *Server) GetVersion(ctx context.Context, request GetVersionRequestObject) (GetVersionResponseObject, error) {
	v, err := s.store(ctx).Version(ctx, request.Id, int(request.N))
	if err != nil {
		return nil, err
	}
	return newAnswer(http.StatusOK, MediaJSON, v.Document).
		with("Last-Modified", httpTime(v.CreatedAt)).
		tagged(hashTag(v.Hash), cacheForEver, request.Params.IfNoneMatch), nil
}

// SolveVersion answers GET /v1/designs/{id}/versions/{n}/solve.
func (s *Server) SolveVersion(ctx context.Context, request SolveVersionRequestObject) (SolveVersionResponseObject, error) {
	doc, err := s.versionDocument(ctx, request.Id, request.N)
	if err != nil {
		return nil, err
	}
	return s.querySolve(ctx, doc, request.Params)
}

// CheckVersion answers GET /v1/designs/{id}/versions/{n}/check.
func (s *Server) CheckVersion(ctx context.Context, request CheckVersionRequestObject) (CheckVersionResponseObject, error) {
	doc, err := s.versionDocument(ctx, request.Id, request.N)
	if err != nil {
		return nil, err
	}
	return s.kept(s.report(ctx, doc, CheckOptions{ThicknessMap: orFalse(request.Params.ThicknessMap)}))(request.Params.IfNoneMatch)
}

// PatternVersion answers GET /v1/designs/{id}/versions/{n}/pattern.
func (s *Server) PatternVersion(ctx context.Context, request PatternVersionRequestObject) (PatternVersionResponseObject, error) {
	a, _, err := s.versionPattern(ctx, request.Id, request.N, exchangeOf(ctx).media, request.Params)
	return a, err
}

// PatternVersionJson answers GET /v1/designs/{id}/versions/{n}/pattern.json.
func (s *Server) PatternVersionJson(ctx context.Context, request PatternVersionJsonRequestObject) (PatternVersionJsonResponseObject, error) {
	a, title, err := s.versionPattern(ctx, request.Id, request.N, MediaJSON, PatternVersionParams(request.Params))
	return s.asFile(title, patternFile)(a, err)
}

// PatternVersionSvg answers GET /v1/designs/{id}/versions/{n}/pattern.svg.
func (s *Server) PatternVersionSvg(ctx context.Context, request PatternVersionSvgRequestObject) (PatternVersionSvgResponseObject, error) {
	a, title, err := s.versionPattern(ctx, request.Id, request.N, MediaSVG, PatternVersionParams(request.Params))
	return s.asFile(title, patternFile)(a, err)
}

// PatternVersionDxf answers GET /v1/designs/{id}/versions/{n}/pattern.dxf.
func (s *Server) PatternVersionDxf(ctx context.Context, request PatternVersionDxfRequestObject) (PatternVersionDxfResponseObject, error) {
	a, title, err := s.versionPattern(ctx, request.Id, request.N, MediaDXF, PatternVersionParams(request.Params))
	return s.asFile(title, patternFile)(a, err)
}

// PatternVersionPdf answers GET /v1/designs/{id}/versions/{n}/pattern.pdf.
func (s *Server) PatternVersionPdf(ctx context.Context, request PatternVersionPdfRequestObject) (PatternVersionPdfResponseObject, error) {
	a, title, err := s.versionPattern(ctx, request.Id, request.N, MediaPDF, PatternVersionParams(request.Params))
	return s.asFile(title, patternFile)(a, err)
}

func (s *Server) versionPattern(ctx context.Context, id string, n VersionNumber, media string, q PatternVersionParams) (a *answer, title string, err error) {
	doc, err := s.versionDocument(ctx, id, n)
	if err != nil {
		return nil, "", err
	}
	a, err = s.kept(s.patternIn(ctx, media, doc, queryPattern(&q), inQuery()))(q.IfNoneMatch)
	return a, doc.Design.Title, err
}

// versionDocument reads a version's design, which was valid when it was stored.
func (s *Server) versionDocument(ctx context.Context, id string, n VersionNumber) (*Document, error) {
	v := exchangeOf(ctx).version
	if v == nil || v.DesignID != id || v.Number != int(n) {
		read, err := s.store(ctx).Version(ctx, id, int(n))
		if err != nil {
			return nil, err
		}
		v = &read
	}
	return s.pipeline.Read(ctx, v.Document)
}

// ListVersions answers GET /v1/designs/{id}/versions.
func (s *Server) ListVersions(ctx context.Context, request ListVersionsRequestObject) (ListVersionsResponseObject, error) {
	limit := pageSize(request.Params.Limit)
	page, err := s.store(ctx).Versions(ctx, request.Id, versionQuery(limit, request.Params.Cursor))
	if err != nil {
		return nil, err
	}
	out := VersionPage{Versions: make([]VersionRecord, len(page.Versions))}
	for i, v := range page.Versions {
		out.Versions[i] = VersionRecord{
			Version: int64(v.Number), DesignHash: v.Hash, CreatedAt: v.CreatedAt, Message: v.Message, Author: v.Author,
			Labels: append([]string{}, v.Labels...),
		}
	}
	next := nextPage("/v1/designs/"+request.Id+"/versions", limit, page.Next)
	out.Next = next.cursor()
	return next.answer(out)
}
