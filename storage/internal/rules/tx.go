package rules

import (
	"context"
	"time"

	"foldwright/storage"
)

// A Tx is one write transaction in one workspace. Methods that look for a row
// return storage.ErrNotFound when the workspace has none.
type Tx interface {
	// LockDesign reads the newest state of a design, live or deleted, and
	// keeps every other write transaction from changing it until the end of
	// this one.
	LockDesign(ctx context.Context, id string) (storage.Design, error)

	InsertDesign(ctx context.Context, d storage.Design) error
	// ClaimDesign is InsertDesign unless the id is taken, also for one that is
	// deleted, and reports whether it did.
	ClaimDesign(ctx context.Context, d storage.Design) (bool, error)

	UpdateDesign(ctx context.Context, d storage.Design) error
	SetDeleted(ctx context.Context, id string, at *time.Time) error

	Version(ctx context.Context, id string, n int) (storage.Version, error)
	VersionHash(ctx context.Context, id string, n int) (string, error)
	InsertVersion(ctx context.Context, v storage.Version) error

	// ClaimKey records a use of a key unless there is one, and reports
	// whether it did. It waits for a transaction that is about to record one.
	ClaimKey(ctx context.Context, use KeyUse) (bool, error)

	// KeyUse reads the recorded use of a key.
	KeyUse(ctx context.Context, key string) (KeyUse, error)

	// Grow adds to what is counted of the workspace. It returns what is counted
	// then, and how many hooks are on. Unless what others add meanwhile cannot
	// pass the quota, it keeps them from it until the end of this transaction;
	// growing by nothing always does.
	Grow(ctx context.Context, by storage.Usage) (now storage.Usage, hooks int, err error)

	// Announce makes the deliveries of an event.
	Announce(ctx context.Context, e storage.Event) error

	Labels(ctx context.Context, designID string) ([]Label, error)
	// SetLabel moves a label that is there already.
	SetLabel(ctx context.Context, designID string, l Label, at time.Time) error
	DropLabel(ctx context.Context, designID string, l Label) error

	// Forget deletes a design that is locked, and all that hangs on it, and
	// returns what that was of what is counted of the workspace.
	Forget(ctx context.Context, designID string) (storage.Usage, error)

	CountKeys(ctx context.Context) (int, error)
	InsertKey(ctx context.Context, k storage.Key, hash string) error

	// RevokeKey and RevokeShare leave the time that is there already.
	RevokeKey(ctx context.Context, id string, at time.Time) error

	CountShares(ctx context.Context, designID string) (int, error)
	InsertShare(ctx context.Context, s storage.Share, hash string) error
	RevokeShare(ctx context.Context, designID, id string, at time.Time) error
}

// A KeyUse says what the request with an idempotency key made.
type KeyUse struct {
	storage.IdempotencyKey
	DesignID string
	Version  int
	At       time.Time
}

// Atomically runs a function in a write transaction, which it commits if the
// function returns nil and rolls back otherwise. It may do that again when the
// first time the workspace turned out to be too full to be shared.
type Atomically func(ctx context.Context, do func(Tx) error) error
