package hooks

import (
	"context"
	"time"

	"foldwright/storage"
	"foldwright/storage/internal/keyset"
	"foldwright/storage/internal/lease"
)

// Workspace is the hooks of one workspace.
type Workspace struct {
	Queue *Queue
	Name  string
}

var _ storage.Hooks = Workspace{}

func (w Workspace) AddHook(ctx context.Context, nh storage.NewHook) (storage.Hook, error) {
	if err := nh.Validate(); err != nil {
		return storage.Hook{}, err
	}
	options := w.Queue.db.Options
	h := storage.Hook{
		ID: options.NewID(), Workspace: w.Name, URL: nh.URL, Events: append([]storage.EventType{}, nh.Events...), CreatedAt: options.Now(),
	}
	return h, w.changing(ctx, func(tx lease.Tx) error {
		var n int
		if err := tx.QueryRowContext(ctx, countSQL, w.Name).Scan(&n); err != nil {
			return err
		}
		if n >= storage.MaxHooks {
			return &storage.QuotaError{What: "hooks", Limit: storage.MaxHooks}
		}
		_, err := tx.Change(ctx, insertSQL, h.ID, h.Workspace, h.URL, spaced(h.Events), nh.Secret, h.CreatedAt.UnixMicro())
		return err
	})
}

// changing changes the hooks of a workspace while nobody changes its designs,
// and counts those that are on anew.
func (w Workspace) changing(ctx context.Context, change func(lease.Tx) error) error {
	return w.Queue.db.Atomically(ctx, func(tx lease.Tx) error {
		if err := w.Queue.lockWorkspace(ctx, tx, w.Name); err != nil {
			return err
		}
		if err := change(tx); err != nil {
			return err
		}
		_, err := tx.Change(ctx, countOnSQL, w.Name)
		return err
	})
}

func (w Workspace) Hooks(ctx context.Context) ([]storage.Hook, error) {
	list, err := lease.List(ctx, w.Queue.db.Reads, scanHookAlone, hooksSQL, w.Name)
	return list, w.Queue.db.Interpret(ctx, err)
}

func (w Workspace) Hook(ctx context.Context, id string) (storage.Hook, error) {
	if !storage.ValidText(id) {
		return storage.Hook{}, storage.ErrNotFound
	}
	h, err := scanHook(w.Queue.db.Reads.QueryRowContext(ctx, hookSQL, w.Name, id))
	return h, w.Queue.db.Interpret(ctx, err)
}

// switchedOff is why a hook is off that somebody switched off.
const switchedOff = "switched off by hand"

func (w Workspace) ChangeHook(ctx context.Context, id string, c storage.HookChange) (h storage.Hook, err error) {
	if err := c.Validate(); err != nil {
		return storage.Hook{}, err
	}
	if !storage.ValidText(id) {
		return storage.Hook{}, storage.ErrNotFound
	}
	now := w.Queue.db.Options.Now()
	err = w.changing(ctx, func(tx lease.Tx) error {
		if h, err = scanHook(tx.QueryRowContext(ctx, hookSQL, w.Name, id)); err != nil {
			return err
		}
		if c.URL != nil {
			h.URL = *c.URL
		}
		if c.Events != nil {
			h.Events = c.Events
		}
		if _, err := tx.Change(ctx, changeSQL, w.Name, id, h.URL, spaced(h.Events)); err != nil {
			return err
		}
		if c.On != nil {
			if err := w.turn(ctx, tx, &h, *c.On, now); err != nil {
				return err
			}
		}
		h, err = scanHook(tx.QueryRowContext(ctx, hookSQL, w.Name, id))
		return err
	})
	return h, err
}

func (w Workspace) turn(ctx context.Context, tx lease.Tx, h *storage.Hook, on bool, now time.Time) error {
	if !on {
		return switchOff(ctx, tx, h, now, switchedOff)
	}
	n, err := tx.Change(ctx, switchOnSQL, w.Name, h.ID)
	if err != nil || n == 0 {
		return err
	}
	_, err = tx.Change(ctx, hurrySQL, h.ID, now.UnixMicro())
	return err
}

func (w Workspace) DeleteHook(ctx context.Context, id string) error {
	if !storage.ValidText(id) {
		return storage.ErrNotFound
	}
	return w.changing(ctx, func(tx lease.Tx) error {
		n, err := tx.Change(ctx, deleteSQL, w.Name, id)
		if err == nil && n == 0 {
			return storage.ErrNotFound
		}
		return err
	})
}

func (w Workspace) Deliveries(ctx context.Context, hookID string, q storage.VersionQuery) (storage.DeliveryPage, error) {
	end, err := keyset.Deliveries(hookID, q.Cursor)
	if err != nil {
		return storage.DeliveryPage{}, err
	}
	if _, err := w.Hook(ctx, hookID); err != nil {
		return storage.DeliveryPage{}, err
	}
	limit := keyset.Limit(q.Limit)
	list, err := lease.List(ctx, w.Queue.db.Reads, scanDelivery, pageSQL, hookID, end.CreatedAt.UnixMicro(), end.ID, limit+1)
	if err != nil {
		return storage.DeliveryPage{}, w.Queue.db.Interpret(ctx, err)
	}
	page := storage.DeliveryPage{Deliveries: list}
	if len(list) > limit {
		page.Deliveries = list[:limit]
		page.Next = keyset.AfterDelivery(list[limit-1])
	}
	return page, nil
}

func (w Workspace) Replay(ctx context.Context, hookID, eventID string) (storage.Delivery, error) {
	if !storage.ValidText(eventID) {
		return storage.Delivery{}, storage.ErrNotFound
	}
	return w.send(ctx, hookID, eventID, replaySQL, hookID, eventID, w.Queue.db.Options.Now().UnixMicro())
}

func (w Workspace) PingHook(ctx context.Context, hookID string) (storage.Delivery, error) {
	id := w.Queue.db.Options.NewID()
	return w.send(ctx, hookID, id, pingSQL, hookID, id, string(storage.HookPinged), "{}", w.Queue.db.Options.Now().UnixMicro())
}

// send makes a delivery due at once by a statement, and ends a pause of its hook.
func (w Workspace) send(ctx context.Context, hookID, eventID, statement string, arguments ...any) (d storage.Delivery, err error) {
	if _, err := w.Hook(ctx, hookID); err != nil {
		return d, err
	}
	err = w.Queue.db.Atomically(ctx, func(tx lease.Tx) error {
		if _, err := tx.Change(ctx, unpauseSQL, hookID); err != nil {
			return err
		}
		if _, err := tx.Change(ctx, statement, arguments...); err != nil {
			return err
		}
		d, err = scanDelivery(tx.QueryRowContext(ctx, deliverySQL, hookID, eventID))
		return err
	})
	return d, err
}
