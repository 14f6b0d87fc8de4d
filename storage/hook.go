package storage

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"
)

// An EventType says what has happened.
type EventType string

// The types of events. HookPinged is for trying a hook alone.
const (
	DesignCreated  EventType = "design.created"
	VersionCreated EventType = "version.created"
	DesignDeleted  EventType = "design.deleted"
	DesignRestored EventType = "design.restored"
	JobEnded       EventType = "job.ended"
	HookPinged     EventType = "hook.pinged"
)

// EventTypes are those a hook may ask for.
var EventTypes = []EventType{DesignCreated, VersionCreated, DesignDeleted, DesignRestored, JobEnded}

// An Event is something that has happened in a workspace.
type Event struct {
	ID    string
	Type  EventType
	At    time.Time
	About EventAbout
}

// EventAbout is what an event happened to: a version of a design or a job, as
// it was then. The JSON is how the drivers keep it.
type EventAbout struct {
	Design    string   `json:"design,omitempty"`
	Version   int      `json:"version,omitempty"`
	Hash      string   `json:"hash,omitempty"`
	Job       string   `json:"job,omitempty"`
	Operation string   `json:"operation,omitempty"`
	State     JobState `json:"state,omitempty"`

	// Trace is the one in which it happened, as the traceparent of W3C Trace
	// Context; empty outside of one. It comes from the context of the call that
	// wrote the event.
	Trace string `json:"trace,omitempty"`
}

// A Hook is an address to which the events of a workspace are sent.
type Hook struct {
	ID        string
	Workspace string
	URL       string
	Events    []EventType
	CreatedAt time.Time

	// Failures is how many deliveries have failed since the last that arrived,
	// the first of them at FailingSince.
	Failures     int
	FailingSince *time.Time

	// OffAt is when the hook was switched off, nil while it is on, and OffWhy
	// for what reason.
	OffAt  *time.Time
	OffWhy string
}

// A NewHook is what a caller says of a hook.
type NewHook struct {
	URL    string
	Events []EventType
	Secret string // to sign with, so it is kept as it is
}

// A HookChange is what a caller changes of a hook; nil leaves it as it is.
type HookChange struct {
	URL    *string
	Events []EventType
	On     *bool
}

// Bounds of hooks.
const (
	// MaxHooks is how many hooks a workspace may have.
	MaxHooks = 20
	// MaxURLBytes is the longest address of one.
	MaxURLBytes = 2000
	// DeliveryRetention is how long an event is kept for a hook after it has
	// arrived or was given up; and how long it is tried at most.
	DeliveryRetention = 7 * 24 * time.Hour
)

// Validate reports, as an ErrInvalid, what makes no hook.
func (h NewHook) Validate() error {
	if h.Secret == "" || !ValidText(h.Secret) {
		return fmt.Errorf("%w: the secret is missing", ErrInvalid)
	}
	return errors.Join(validURL(h.URL), validEvents(h.Events))
}

// Validate reports, as an ErrInvalid, what no hook can be changed to.
func (c HookChange) Validate() error {
	var errs []error
	if c.URL != nil {
		errs = append(errs, validURL(*c.URL))
	}
	if c.Events != nil {
		errs = append(errs, validEvents(c.Events))
	}
	return errors.Join(errs...)
}

func validURL(url string) error {
	if url == "" || len(url) > MaxURLBytes || !ValidText(url) {
		return fmt.Errorf("%w: the address is not text of 1 to %d bytes", ErrInvalid, MaxURLBytes)
	}
	return nil
}

func validEvents(types []EventType) error {
	if len(types) == 0 {
		return fmt.Errorf("%w: a hook asks for at least one type of event", ErrInvalid)
	}
	for _, t := range types {
		if !slices.Contains(EventTypes, t) {
			return fmt.Errorf("%w: there is no event %q", ErrInvalid, t)
		}
	}
	return nil
}

// A DeliveryState is how far an event has come on its way to a hook.
type DeliveryState string

// The states of a delivery. It goes from pending to one of the others, and back
// when it is replayed.
const (
	DeliveryPending   DeliveryState = "pending"
	DeliveryDelivered DeliveryState = "delivered"
	DeliveryFailed    DeliveryState = "failed"
)

// A Delivery is an event on its way to a hook, which it reaches at least once
// unless it is given up.
type Delivery struct {
	HookID    string
	Event     Event // its id names the delivery among those of the hook
	State     DeliveryState
	Attempts  int        // those under way included
	LastAt    *time.Time // of the last attempt, nil before the first
	Status    int        // of the last answer; 0 without one
	Error     string     // why the last attempt failed, in words for whoever owns the hook
	DueAt     *time.Time // of the next attempt, nil unless it is pending
	ExpiresAt *time.Time // when it is forgotten; nil while it is pending
}

// A DeliveryPage is a run of deliveries.
type DeliveryPage struct {
	Deliveries []Delivery
	Next       string // cursor of the following page, empty after the last
}

// Hooks are those of one workspace.
//
// A change of a design and the end of a job are kept together with a delivery
// for each hook that is on and asks for the type of event: whoever was told of
// the one can rely on the other.
type Hooks interface {
	// AddHook makes a hook that is on. ErrInvalid: see NewHook.Validate.
	// ErrQuota: there are MaxHooks already.
	AddHook(ctx context.Context, h NewHook) (Hook, error)

	// Hooks lists all hooks, the oldest first and equal times by id.
	Hooks(ctx context.Context) ([]Hook, error)

	// Hook returns a hook. ErrNotFound.
	Hook(ctx context.Context, id string) (Hook, error)

	// ChangeHook changes a hook. Switching it on again forgets its failures,
	// and what is pending is tried at once. ErrInvalid, ErrNotFound.
	ChangeHook(ctx context.Context, id string, c HookChange) (Hook, error)

	// DeleteHook deletes a hook with its secret and its deliveries.
	// ErrNotFound.
	DeleteHook(ctx context.Context, id string) error

	// Deliveries returns a page of a hook's deliveries, the newest first and
	// equal times by descending id. ErrNotFound, ErrBadCursor.
	Deliveries(ctx context.Context, hookID string, q VersionQuery) (DeliveryPage, error)

	// Replay makes a delivery pending and due at once, whatever became of it,
	// with its attempts counted anew. ErrNotFound.
	Replay(ctx context.Context, hookID, eventID string) (Delivery, error)

	// PingHook makes a delivery of the type HookPinged. ErrNotFound.
	PingHook(ctx context.Context, hookID string) (Delivery, error)
}

// A DeliveryClaim is the right to send what is due to a hook. It is lost when it
// was not settled within its lease and somebody else took it.
type DeliveryClaim struct {
	Delivery
	Hook   Hook
	Secret string
	Token  string
}

// A DeliveryOutcome is how an attempt went.
type DeliveryOutcome struct {
	State  DeliveryState
	Status int
	Error  string
	// After is how long from now a delivery that stays pending is tried again,
	// and Pause how long nothing else is sent to the hook.
	After, Pause time.Duration
	// Off switches the hook off, and says why.
	Off string
}

// Backlog is what has yet to be sent to hooks that are on.
type Backlog struct {
	Pending   int
	OldestDue *time.Time // nil if nothing is due
}

// HookQueue hands the deliveries of all workspaces to workers, in any number of
// processes whose clocks agree to well within a lease.
type HookQueue interface {
	// ClaimDelivery gives the caller, for the length of a lease, a hook and
	// what has been due to it for longest. Of the hooks that are on, not
	// paused and not claimed, the one least lately served comes first. Of
	// several callers at once only one gets it. ErrNotFound: there is nothing
	// to do.
	ClaimDelivery(ctx context.Context, lease time.Duration) (DeliveryClaim, error)

	// EndDelivery settles an attempt. ErrConflict: the claim is lost.
	EndDelivery(ctx context.Context, c DeliveryClaim, o DeliveryOutcome) error

	// ReleaseDelivery gives a claim back, as if it had not been made.
	// ErrConflict: the claim is lost.
	ReleaseDelivery(ctx context.Context, c DeliveryClaim) error

	// SweepDeliveries forgets what has expired, and gives up what has been
	// tried for DeliveryRetention.
	SweepDeliveries(ctx context.Context) error

	// Backlog counts what has yet to be sent.
	Backlog(ctx context.Context) (Backlog, error)
}
