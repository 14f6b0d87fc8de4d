package hooks

import (
	"context"
	"encoding/json"
	"strings"
	"time"

	"foldwright/storage"
	"foldwright/storage/internal/lease"

	"github.com/google/uuid"
)

// Queue is a storage.HookQueue on a database.
type Queue struct {
	db    *lease.Database
	claim string
}

// New is the queue of a database.
func New(db *lease.Database) *Queue { return &Queue{db, db.Locking(claimSQL)} }

var _ storage.HookQueue = (*Queue)(nil)

func (q *Queue) ClaimDelivery(ctx context.Context, length time.Duration) (storage.DeliveryClaim, error) {
	now := q.db.Options.Now()
	furthest := lease.Furthest(now)
	if err := q.db.Wanted(ctx, dueSQL, now.UnixMicro(), furthest); err != nil {
		return storage.DeliveryClaim{}, err
	}
	c := storage.DeliveryClaim{Token: uuid.NewString()}
	err := q.db.Atomically(ctx, func(tx lease.Tx) (err error) {
		row := tx.QueryRowContext(ctx, q.claim, c.Token, now.Add(length).UnixMicro(), now.UnixMicro(), furthest)
		if c.Hook, err = scanHook(row, &c.Secret); err != nil {
			return err
		}
		// Nobody else sends to the hook now, so this cannot be anybody else's. It
		// is gone if another worker was just done with it, and so is the claim.
		c.Delivery, err = scanDelivery(tx.QueryRowContext(ctx, attemptSQL, c.Hook.ID, now.UnixMicro()))
		return err
	})
	return c, err
}

func (q *Queue) EndDelivery(ctx context.Context, c storage.DeliveryClaim, o storage.DeliveryOutcome) error {
	now := q.db.Options.Now()
	var failures int
	var since, due, expires *int64
	if o.State != storage.DeliveryDelivered {
		failures, since = c.Hook.Failures+1, new(now.UnixMicro())
		if c.Hook.FailingSince != nil {
			since = new(c.Hook.FailingSince.UnixMicro())
		}
	}
	if o.State == storage.DeliveryPending {
		due = new(now.Add(o.After).UnixMicro())
	} else {
		expires = new(now.Add(storage.DeliveryRetention).UnixMicro())
	}
	return q.db.Atomically(ctx, func(tx lease.Tx) error {
		// The workspace is locked before the hook, as by who changes hooks.
		if o.Off != "" {
			if err := q.lockWorkspace(ctx, tx, c.Hook.Workspace); err != nil {
				return err
			}
		}
		if err := tx.Held(ctx, settleHookSQL, c.Hook.ID, c.Token, failures, since, now.Add(o.Pause).UnixMicro()); err != nil {
			return err
		}
		if _, err := tx.Change(ctx, settleDeliverySQL, c.HookID, c.Event.ID, string(o.State), o.Status, o.Error, due, expires); err != nil || o.Off == "" {
			return err
		}
		return switchOff(ctx, tx, &c.Hook, now, o.Off)
	})
}

// switchOff expects the workspace to be locked.
func switchOff(ctx context.Context, tx lease.Tx, h *storage.Hook, now time.Time, why string) error {
	if _, err := tx.Change(ctx, switchOffSQL, h.Workspace, h.ID, now.UnixMicro(), why); err != nil {
		return err
	}
	_, err := tx.Change(ctx, countOnSQL, h.Workspace)
	return err
}

func (q *Queue) ReleaseDelivery(ctx context.Context, c storage.DeliveryClaim) error {
	return q.db.Atomically(ctx, func(tx lease.Tx) error {
		if err := tx.Held(ctx, releaseHookSQL, c.Hook.ID, c.Token); err != nil {
			return err
		}
		_, err := tx.Change(ctx, releaseDeliverySQL, c.HookID, c.Event.ID)
		return err
	})
}

func (q *Queue) SweepDeliveries(ctx context.Context) error {
	now := q.db.Options.Now()
	if _, err := q.db.Change(ctx, forgetSQL, now.UnixMicro()); err != nil {
		return err
	}
	_, err := q.db.Change(ctx, giveUpSQL, now.UnixMicro(), now.Add(-storage.DeliveryRetention).UnixMicro(),
		now.Add(storage.DeliveryRetention).UnixMicro())
	return err
}

func (q *Queue) Backlog(ctx context.Context) (storage.Backlog, error) {
	var b storage.Backlog
	var oldest *int64
	err := q.db.Reads.QueryRowContext(ctx, backlogSQL, q.db.Options.Now().UnixMicro()).Scan(&b.Pending, &oldest)
	b.OldestDue = lease.At(oldest)
	return b, q.db.Interpret(ctx, err)
}

// spaced is how the types of a hook are kept, so that each is found as a word.
func spaced(types []storage.EventType) string {
	var b strings.Builder
	b.WriteString(" ")
	for _, t := range types {
		b.WriteString(string(t) + " ")
	}
	return b.String()
}

// scanHook reads the columns that every query of hooks gives, and what it gives
// besides.
func scanHook(row lease.Row, more ...any) (storage.Hook, error) {
	var (
		h            storage.Hook
		types        string
		created      int64
		failing, off *int64
	)
	err := row.Scan(append([]any{&h.ID, &h.Workspace, &h.URL, &types, &created, &h.Failures, &failing, &off, &h.OffWhy}, more...)...)
	for t := range strings.FieldsSeq(types) {
		h.Events = append(h.Events, storage.EventType(t))
	}
	h.CreatedAt = time.UnixMicro(created).UTC()
	h.FailingSince, h.OffAt = lease.At(failing), lease.At(off)
	return h, err
}

func scanHookAlone(row lease.Row) (storage.Hook, error) { return scanHook(row) }

func scanDelivery(row lease.Row) (storage.Delivery, error) {
	var (
		d                  storage.Delivery
		about              string
		created            int64
		last, due, expires *int64
	)
	err := row.Scan(&d.HookID, &d.Event.ID, &d.Event.Type, &about, &created, &d.State, &d.Attempts, &last, &d.Status, &d.Error, &due, &expires)
	if err != nil {
		return d, err
	}
	d.Event.At = time.UnixMicro(created).UTC()
	d.LastAt, d.DueAt, d.ExpiresAt = lease.At(last), lease.At(due), lease.At(expires)
	return d, json.Unmarshal([]byte(about), &d.Event.About)
}

// lockWorkspace keeps everybody else from changing a workspace, its designs and
// its hooks.
func (q *Queue) lockWorkspace(ctx context.Context, tx lease.Tx, name string) error {
	if own := q.db.Own; own != "" {
		if _, err := tx.ExecContext(ctx, own, name); err != nil {
			return err
		}
	}
	_, err := tx.Change(ctx, lockWorkspaceSQL, name)
	return err
}
