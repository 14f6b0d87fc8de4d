package api

import (
	"context"
	"fmt"
	"net/http"
	"time"

	"foldwright/storage"
)

// CreateDesign answers POST /v1/designs.
func (s *Server) CreateDesign(ctx context.Context, request CreateDesignRequestObject) (CreateDesignResponseObject, error) {
	doc, err := s.pipeline.Read(ctx, *request.Body)
	if err != nil {
		return nil, err
	}
	note := versionNote{request.Params.Message, request.Params.Author}
	version, err := note.version(doc)
	if err != nil {
		return nil, err
	}
	key := idempotencyKey(request.Params.IdempotencyKey, "create", note, doc.Hash)
	d, made, replayed, err := s.store(ctx).Create(ctx, version, key)
	if err != nil {
		return nil, err
	}
	a, err := s.storedAnswer(ctx, http.StatusCreated, d, made, version, replayed)
	if err != nil {
		return nil, err
	}
	return a.with("Location", designPath(d.ID)), nil
}

// ListDesigns answers GET /v1/designs.
func (s *Server) ListDesigns(ctx context.Context, request ListDesignsRequestObject) (ListDesignsResponseObject, error) {
	q := request.Params
	query := storage.Query{Limit: pageSize(q.Limit), Deleted: q.Deleted != nil && *q.Deleted}
	fill(&query.Search, q.Q)
	fill(&query.Tags, q.Tag)
	fill(&query.Label, q.Label)
	fill(&query.Since, q.UpdatedSince)
	fill(&query.Cursor, q.Cursor)
	if q.Sort != nil {
		query.Sort = storage.Sort(*q.Sort)
	}
	page, err := s.store(ctx).List(ctx, query)
	if err != nil {
		return nil, err
	}
	out := DesignPage{Designs: make([]DesignRecord, len(page.Designs))}
	for i := range page.Designs {
		out.Designs[i] = designRecord(&page.Designs[i])
	}
	next := nextPage("/v1/designs", query.Limit, page.Next)
	if query.Search != "" {
		next.query.Set("q", query.Search)
	}
	for _, tag := range query.Tags {
		next.query.Add("tag", tag)
	}
	if query.Label != "" {
		next.query.Set("label", query.Label)
	}
	if q.UpdatedSince != nil {
		next.query.Set("updated_since", query.Since.Format(time.RFC3339Nano))
	}
	if query.Sort != "" {
		next.query.Set("sort", string(query.Sort))
	}
	if query.Deleted {
		next.query.Set("deleted", "true")
	}
	out.Next = next.cursor()
	return next.answer(out)
}

func fill[T any](to, from *T) {
	if from != nil {
		*to = *from
	}
}

// GetDesign answers GET /v1/designs/{id}.
func (s *Server) GetDesign(ctx context.Context, request GetDesignRequestObject) (GetDesignResponseObject, error) {
	v, err := s.newest(ctx, request.Id)
	if err != nil {
		return nil, err
	}
	return newAnswer(http.StatusOK, MediaJSON, v.Document).
		with("Content-Location", versionPath(v)).
		with("Last-Modified", httpTime(v.CreatedAt)).
		tagged(designTag(v), cacheAskEach, request.Params.IfNoneMatch), nil
}

// ReplaceDesign answers PUT /v1/designs/{id}.
func (s *Server) ReplaceDesign(ctx context.Context, request ReplaceDesignRequestObject) (ReplaceDesignResponseObject, error) {
	var a *answer
	err := s.basedOn(ctx, request.Id, request.Params.IfMatch, func(on int) error {
		doc, err := s.pipeline.Read(ctx, *request.Body)
		if err != nil {
			return err
		}
		note := versionNote{request.Params.Message, request.Params.Author}
		key := idempotencyKey(request.Params.IdempotencyKey, "replace "+request.Id, note, doc.Hash)
		a, err = s.addVersion(ctx, request.Id, on, doc, note, key)
		return err
	})
	return a, err
}

// PatchDesign answers PATCH /v1/designs/{id}.
func (s *Server) PatchDesign(ctx context.Context, request PatchDesignRequestObject) (PatchDesignResponseObject, error) {
	patch := request.ApplicationMergePatchPlusJSONBody
	if patch == nil {
		patch = request.JSONBody
	}
	note := versionNote{request.Params.Message, request.Params.Author}
	key := idempotencyKey(request.Params.IdempotencyKey, "patch "+request.Id, note, hashOf(*patch))
	var a *answer
	err := s.basedOn(ctx, request.Id, request.Params.IfMatch, func(on int) (err error) {
		a, err = s.patchDesign(ctx, request.Id, on, *patch, note, key)
		return err
	})
	return a, err
}

// DeleteDesign answers DELETE /v1/designs/{id}.
func (s *Server) DeleteDesign(ctx context.Context, request DeleteDesignRequestObject) (DeleteDesignResponseObject, error) {
	remove := func(on int) error { return s.store(ctx).Delete(ctx, request.Id, on) }
	var err error
	if request.Params.IfMatch == nil {
		err = remove(anyVersion)
	} else {
		err = s.basedOn(ctx, request.Id, request.Params.IfMatch, remove)
	}
	if err != nil {
		return nil, err
	}
	d, err := s.store(ctx).Head(ctx, request.Id)
	if err != nil {
		return nil, err
	}
	return DeleteDesign200JSONResponse(designRecord(&d)), nil
}

// RestoreDesign answers POST /v1/designs/{id}/restore.
func (s *Server) RestoreDesign(ctx context.Context, request RestoreDesignRequestObject) (RestoreDesignResponseObject, error) {
	if request.Params.Version != nil {
		return s.restoreVersion(ctx, request.Id, *request.Params.Version, &request.Params)
	}
	if err := onlyWithVersion(&request.Params); err != nil {
		return nil, err
	}
	d, v, err := s.store(ctx).Restore(ctx, request.Id)
	if err != nil {
		return nil, err
	}
	record := designRecord(&d)
	record.DesignHash = &v.Hash
	body, err := encode(record)
	if err != nil {
		return nil, err
	}
	return newAnswer(http.StatusOK, MediaJSON, body).with("ETag", designTag(v).String()), nil
}

// restoreVersion makes a new version that equals an earlier one.
func (s *Server) restoreVersion(ctx context.Context, id string, n VersionNumber, q *RestoreDesignParams) (*answer, error) {
	var a *answer
	err := s.basedOn(ctx, id, q.IfMatch, func(on int) error {
		doc, err := s.versionDocument(ctx, id, n)
		if err != nil {
			return err
		}
		note := versionNote{q.Message, q.Author}
		key := idempotencyKey(q.IdempotencyKey, fmt.Sprint("restore ", id, " ", n), note, doc.Hash)
		if note.message == nil {
			note.message = new(fmt.Sprint("restores version ", n))
		}
		a, err = s.addVersion(ctx, id, on, doc, note, key)
		return err
	})
	return a, err
}

// onlyWithVersion refuses what is said of a version that is not made.
func onlyWithVersion(q *RestoreDesignParams) error {
	for _, p := range []struct {
		pointer string
		given   bool
	}{
		{"/query/message", q.Message != nil}, {"/query/author", q.Author != nil},
	} {
		if p.given {
			return faultAt(invalidParameter, FieldError{Pointer: p.pointer, Code: NotAllowed,
				Detail: "goes with version only; bringing a deleted design back makes no version"})
		}
	}
	return nil
}

// newest is the newest version of a live design.
func (s *Server) newest(ctx context.Context, id string) (storage.Version, error) {
	d, err := s.store(ctx).Get(ctx, id)
	if err != nil {
		return storage.Version{}, err
	}
	return s.store(ctx).Version(ctx, id, d.Version)
}
