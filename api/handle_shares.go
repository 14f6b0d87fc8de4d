package api

import (
	"context"
	"net/http"
	"net/url"

	"foldwright/storage"
	"foldwright/storage/access"
)

// CreateShare answers POST /v1/designs/{id}/shares.
func (s *Server) CreateShare(ctx context.Context, request CreateShareRequestObject) (CreateShareResponseObject, error) {
	body := request.Body
	token := access.NewSecret(access.ShareSecret)
	ns := storage.NewShare{ExpiresAt: s.expiry(body.ValidDays), Hash: access.Hash(token)}
	if body.Version != nil {
		ns.Version = *body.Version
	}
	var err error
	if ns.Name, err = accessName(body.Name); err != nil {
		return nil, err
	}
	share, err := s.store(ctx).AddShare(ctx, request.Id, ns)
	if err != nil {
		return nil, err
	}
	record := shareRecord(&share)
	record.Url = new(exchangeOf(ctx).base + "/v1/shared/" + token)
	return secretAnswer(record)
}

// ListShares answers GET /v1/designs/{id}/shares.
func (s *Server) ListShares(ctx context.Context, request ListSharesRequestObject) (ListSharesResponseObject, error) {
	shares, err := s.store(ctx).Shares(ctx, request.Id)
	if err != nil {
		return nil, err
	}
	out := ShareList{Shares: make([]ShareRecord, len(shares))}
	for i := range shares {
		out.Shares[i] = shareRecord(&shares[i])
	}
	return ListShares200JSONResponse(out), nil
}

// RevokeShare answers DELETE /v1/designs/{id}/shares/{share}.
func (s *Server) RevokeShare(ctx context.Context, request RevokeShareRequestObject) (RevokeShareResponseObject, error) {
	if err := s.store(ctx).RevokeShare(ctx, request.Id, request.Share); err != nil {
		return nil, err
	}
	return RevokeShare204Response{}, nil
}

func shareRecord(share *storage.Share) ShareRecord {
	record := ShareRecord{
		Id: share.ID, Design: share.DesignID, Name: share.Name,
		CreatedAt: share.CreatedAt, ExpiresAt: share.ExpiresAt, RevokedAt: share.RevokedAt,
	}
	if share.Version != 0 {
		record.Version = &share.Version
	}
	return record
}

// GetShared answers GET /v1/shared/{token}. The token is the credential here.
func (s *Server) GetShared(ctx context.Context, request GetSharedRequestObject) (GetSharedResponseObject, error) {
	share, err := s.liveShare(ctx, request.Token)
	if err != nil {
		return nil, err
	}
	store := s.database.In(share.Workspace)
	d, err := store.Get(ctx, share.DesignID)
	if err != nil {
		return nil, err
	}
	n := d.Version
	if share.Version != 0 {
		n = share.Version
	}
	v, err := store.Version(ctx, d.ID, n)
	if err != nil {
		return nil, err
	}
	query := "?" + url.Values{shareParameter: {request.Token}}.Encode()
	if exchangeOf(ctx).media == MediaHTML {
		return newAnswer(http.StatusSeeOther, "", nil).
			with("Location", versionPath(v)+"/embed"+query).with("Cache-Control", "no-store"), nil
	}
	doc, err := s.pipeline.Read(ctx, v.Document)
	if err != nil {
		return nil, err
	}
	body, err := encode(SharedDesign{
		Title: doc.Design.Title, Version: v.Number, DesignHash: v.Hash, ExpiresAt: share.ExpiresAt,
		Links: s.operations.sharedLinks(versionPath(v), query),
	})
	if err != nil {
		return nil, err
	}
	return newAnswer(http.StatusOK, MediaJSON, body).with("Cache-Control", "no-store"), nil
}
