package api

import (
	"context"
	"errors"

	"foldwright/api/hooks"
	"foldwright/storage"
)

// CreateHook answers POST /v1/hooks.
func (s *Server) CreateHook(ctx context.Context, request CreateHookRequestObject) (CreateHookResponseObject, error) {
	body := request.Body
	if err := s.checkHookURL(body.Url); err != nil {
		return nil, err
	}
	secret := hooks.NewSecret()
	h, err := s.store(ctx).AddHook(ctx, storage.NewHook{URL: body.Url, Events: eventTypes(body.Events), Secret: secret})
	if err != nil {
		return nil, err
	}
	record := hookRecord(&h)
	record.Secret = &secret
	a, err := secretAnswer(record)
	if err != nil {
		return nil, err
	}
	return a.with("Location", "/v1/hooks/"+h.ID), nil
}

func (s *Server) checkHookURL(url string) error {
	if !storage.ValidText(url) || len(url) > storage.MaxURLBytes {
		return faultAt(invalidRequest, FieldError{Pointer: "/url", Code: OutOfRange, Detail: "may be " + counted(storage.MaxURLBytes, "byte") + " of text long"})
	}
	if err := s.hooks.Reach.Check(url); err != nil {
		return faultAt(invalidRequest, FieldError{Pointer: "/url", Code: NotAllowed, Detail: err.Error()})
	}
	return nil
}

// ListHooks answers GET /v1/hooks.
func (s *Server) ListHooks(ctx context.Context, _ ListHooksRequestObject) (ListHooksResponseObject, error) {
	list, err := s.store(ctx).Hooks(ctx)
	if err != nil {
		return nil, err
	}
	out := HookList{Hooks: make([]HookRecord, len(list))}
	for i := range list {
		out.Hooks[i] = hookRecord(&list[i])
	}
	return ListHooks200JSONResponse(out), nil
}

// GetHook answers GET /v1/hooks/{hook}.
func (s *Server) GetHook(ctx context.Context, request GetHookRequestObject) (GetHookResponseObject, error) {
	h, err := s.store(ctx).Hook(ctx, request.Hook)
	if err != nil {
		return nil, hookFault(err)
	}
	return GetHook200JSONResponse(hookRecord(&h)), nil
}

// ChangeHook answers PATCH /v1/hooks/{hook}.
func (s *Server) ChangeHook(ctx context.Context, request ChangeHookRequestObject) (ChangeHookResponseObject, error) {
	body := request.Body
	change := storage.HookChange{URL: body.Url, On: body.Active}
	if body.Url != nil {
		if err := s.checkHookURL(*body.Url); err != nil {
			return nil, err
		}
	}
	if body.Events != nil {
		change.Events = eventTypes(*body.Events)
	}
	h, err := s.store(ctx).ChangeHook(ctx, request.Hook, change)
	if err != nil {
		return nil, hookFault(err)
	}
	return ChangeHook200JSONResponse(hookRecord(&h)), nil
}

// DeleteHook answers DELETE /v1/hooks/{hook}.
func (s *Server) DeleteHook(ctx context.Context, request DeleteHookRequestObject) (DeleteHookResponseObject, error) {
	if err := s.store(ctx).DeleteHook(ctx, request.Hook); err != nil {
		return nil, hookFault(err)
	}
	return DeleteHook204Response{}, nil
}

// PingHook answers POST /v1/hooks/{hook}/ping.
func (s *Server) PingHook(ctx context.Context, request PingHookRequestObject) (PingHookResponseObject, error) {
	d, err := s.store(ctx).PingHook(ctx, request.Hook)
	if err != nil {
		return nil, hookFault(err)
	}
	return PingHook202JSONResponse(deliveryRecord(exchangeOf(ctx).principal.workspace, &d)), nil
}

// ListDeliveries answers GET /v1/hooks/{hook}/deliveries.
func (s *Server) ListDeliveries(ctx context.Context, request ListDeliveriesRequestObject) (ListDeliveriesResponseObject, error) {
	limit := pageSize(request.Params.Limit)
	page, err := s.store(ctx).Deliveries(ctx, request.Hook, versionQuery(limit, request.Params.Cursor))
	if err != nil {
		return nil, hookFault(err)
	}
	next := nextPage("/v1/hooks/"+request.Hook+"/deliveries", limit, page.Next)
	out := DeliveryPage{Deliveries: make([]DeliveryRecord, len(page.Deliveries)), Next: next.cursor()}
	for i := range page.Deliveries {
		out.Deliveries[i] = deliveryRecord(exchangeOf(ctx).principal.workspace, &page.Deliveries[i])
	}
	return next.answer(out)
}

// ReplayDelivery answers POST /v1/hooks/{hook}/deliveries/{delivery}/replay.
func (s *Server) ReplayDelivery(ctx context.Context, request ReplayDeliveryRequestObject) (ReplayDeliveryResponseObject, error) {
	d, err := s.store(ctx).Replay(ctx, request.Hook, request.Delivery)
	if err != nil {
		return nil, hookFault(err)
	}
	return ReplayDelivery202JSONResponse(deliveryRecord(exchangeOf(ctx).principal.workspace, &d)), nil
}

// hookFault says that it is a hook or a delivery that is not there.
func hookFault(err error) error {
	if errors.Is(err, storage.ErrNotFound) {
		return &fault{kind: notFound, detail: "there is no such hook, or no such delivery of it; an old one is kept only for a while", cause: err}
	}
	return err
}

func eventTypes(list []EventType) []storage.EventType {
	types := make([]storage.EventType, len(list))
	for i, t := range list {
		types[i] = storage.EventType(t)
	}
	return types
}

func hookRecord(h *storage.Hook) HookRecord {
	out := HookRecord{
		Id: h.ID, Url: h.URL, Events: make([]EventType, len(h.Events)), Active: h.OffAt == nil, OffAt: h.OffAt,
		Failures: h.Failures, FailingSince: h.FailingSince, CreatedAt: h.CreatedAt,
	}
	for i, t := range h.Events {
		out.Events[i] = EventType(t)
	}
	if h.OffWhy != "" {
		out.OffReason = &h.OffWhy
	}
	return out
}

func deliveryRecord(workspace string, d *storage.Delivery) DeliveryRecord {
	out := DeliveryRecord{
		Id: d.Event.ID, Event: eventOf(workspace, &d.Event), State: DeliveryState(d.State), Attempts: d.Attempts,
		LastAt: d.LastAt, NextAt: d.DueAt, ExpiresAt: d.ExpiresAt,
	}
	if d.Status != 0 {
		out.Status = &d.Status
	}
	if d.Error != "" {
		out.Error = &d.Error
	}
	return out
}

// eventOf is an event as it is sent.
func eventOf(workspace string, e *storage.Event) Event {
	out := Event{Type: string(e.Type), Timestamp: e.At, Data: EventData{Workspace: workspace}}
	about, data := &e.About, &out.Data
	if about.Design != "" {
		data.Design, data.Version, data.DesignUrl = &about.Design, &about.Version, new(designPath(about.Design))
	}
	if about.Hash != "" {
		data.DesignHash = &about.Hash
		data.VersionUrl = new(versionPath(storage.Version{DesignID: about.Design, Number: about.Version}))
	}
	if about.Job != "" {
		data.Job, data.JobUrl = &about.Job, new(jobPath(about.Job))
		data.Operation, data.State = new(JobOperation(about.Operation)), new(JobState(about.State))
	}
	return out
}
