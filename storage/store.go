package storage

import "context"

// A Store keeps the designs, keys, shares, jobs and hooks of one workspace. What other
// workspaces hold is, to it, not there. All methods may be called at the same
// time, also by several processes on the same database.
//
// Every call is atomic: it happens wholly or not at all, and once it has
// returned without error it survives a crash of the process and of the
// machine. Times are UTC with microsecond precision.
//
// Any method may return ErrUnavailable, or an error for which errors.Is finds
// the context's own. After either, a write may or may not have happened:
// repeat it with the same idempotency key, or read. Every other error means
// that nothing was written. Errors never hold a password or a document.
type Store interface {
	// Create makes a design with version 1.
	//
	// With a key that was used before and the same fingerprint it makes
	// nothing, and returns the version first made, the design as it is now
	// (perhaps at a later version, or deleted) and replayed true. With
	// another fingerprint it returns ErrKeyReused. The key is recorded
	// together with the design, so of several calls at once with one key
	// exactly one makes a design and the others replay it.
	//
	// ErrInvalid: see NewVersion.Validate and IdempotencyKey.Validate. ErrQuota.
	Create(ctx context.Context, v NewVersion, key IdempotencyKey) (d Design, made Version, replayed bool, err error)

	// Get returns a live design. ErrNotFound, ErrDeleted.
	Get(ctx context.Context, id string) (Design, error)

	// List returns a page of designs in the order of the query. A design that is
	// there from the first page to the last, keeps matching the query and keeps
	// its place in the order is listed exactly once, whatever is written in
	// between; when a design was created always keeps it its place.
	//
	// ErrInvalid: see Sort.Validate.
	// ErrBadCursor: the cursor was not made for this search. The limit may change from page to page.
	List(ctx context.Context, q Query) (Page, error)

	// AddVersion makes the next version of a live design, provided that
	// ifVersion is the number of its newest; 0 means whatever is newest. Of
	// several callers at once with the same ifVersion exactly one makes a
	// version. Title and tags of the design become those of the version.
	//
	// Content that equals the newest version's (hash, title and tags) makes
	// no version: the newest is returned, and message and author are lost.
	//
	// Keys work as in Create and are looked at before anything else, so a
	// caller who missed the answer may repeat the call although ifVersion
	// is stale by then. A key that was used for another design is
	// ErrKeyReused.
	//
	// In this order: ErrInvalid, ErrNotFound, ErrKeyReused, ErrDeleted,
	// ErrConflict, ErrQuota.
	AddVersion(ctx context.Context, id string, ifVersion int, v NewVersion, key IdempotencyKey) (d Design, made Version, replayed bool, err error)

	// Version returns one version of a live design, with its document.
	// ErrNotFound: no such design or version. ErrDeleted.
	Version(ctx context.Context, id string, n int) (Version, error)

	// Versions returns a page of a live design's versions with their labels and
	// without their documents, the newest first. ErrNotFound, ErrDeleted, ErrBadCursor.
	Versions(ctx context.Context, id string, q VersionQuery) (VersionPage, error)

	// SetLabel gives a version of a live design a label, which it takes from
	// another version of the design that has it. ErrInvalid: see CheckLabel.
	// ErrNotFound: no such design or version. ErrDeleted. ErrQuota: the design
	// has MaxLabels already.
	SetLabel(ctx context.Context, id string, n int, label string) error

	// DropLabel takes a label from a version of a live design. ErrNotFound:
	// no such design or version, or, as a *NoLabelError, no such label. ErrDeleted.
	DropLabel(ctx context.Context, id string, n int, label string) error

	// Delete hides a live design, provided that ifVersion is the number of
	// its newest version; 0 means whatever is newest. Restore brings it back
	// until Purge forgets it. ErrNotFound, ErrDeleted, ErrConflict.
	Delete(ctx context.Context, id string, ifVersion int) error

	// Restore makes a deleted design live again and returns it with its
	// newest version. Restoring a live design changes nothing. ErrNotFound,
	// ErrQuota.
	Restore(ctx context.Context, id string) (Design, Version, error)

	// Head returns a design, live or deleted. ErrNotFound.
	Head(ctx context.Context, id string) (Design, error)

	// Export visits every design, live or deleted, by ascending id, all as they
	// were at one moment. It ends with the first error of a visit.
	Export(ctx context.Context, visit Visit) error

	// Import puts a design into the workspace as it was exported: with its id,
	// times, versions, labels and whether it is deleted. One that is here
	// already and equal is left, and made is false. ErrTaken: the id belongs to
	// a design that differs, or to another workspace. ErrInvalid: see
	// NewVersion.Validate, CheckLabel and CheckTime. ErrQuota.
	//
	// With check it writes nothing, and tells what it would have made.
	Import(ctx context.Context, d Design, version VersionOf, check bool) (made bool, err error)

	// Usage counts what the workspace keeps.
	Usage(ctx context.Context) (Usage, error)

	// AddKey makes a key. ErrInvalid: see NewKey.Validate. ErrQuota: there are
	// MaxKeys already.
	AddKey(ctx context.Context, k NewKey) (Key, error)

	// Keys lists all keys, the oldest first and equal times by id.
	Keys(ctx context.Context) ([]Key, error)

	// RevokeKey makes a key good for nothing from now on; it stays in the
	// list. Revoking again changes nothing. ErrNotFound.
	RevokeKey(ctx context.Context, id string) error

	// AddShare makes a share of a live design. ErrInvalid: see
	// NewShare.Validate. ErrNotFound: no such design or version. ErrDeleted.
	// ErrQuota: there are MaxShares already.
	AddShare(ctx context.Context, designID string, s NewShare) (Share, error)

	// Shares lists all shares of a live design, the oldest first and equal
	// times by id. ErrNotFound, ErrDeleted.
	Shares(ctx context.Context, designID string) ([]Share, error)

	// RevokeShare makes a share of a design, live or deleted, good for nothing
	// from now on; it stays in the list. Revoking again changes nothing.
	// ErrNotFound.
	RevokeShare(ctx context.Context, designID, id string) error

	Jobs
	Hooks
}

// A Visit is shown a design, and may ask for its versions while it is.
type Visit func(d Design, version VersionOf) error

// VersionOf is a version of a design, by its number, with its labels.
type VersionOf func(n int) (Version, error)

// A Database holds the stores of all workspaces. Its methods keep what is said
// of a Store's.
type Database interface {
	// In is the store of a workspace, whose name access.CheckWorkspace has
	// passed. A workspace need not be made: it is empty until it is used.
	In(workspace string) Store

	// Workspaces lists, in order, the workspaces that have been used.
	Workspaces(ctx context.Context) ([]string, error)

	// UseKey finds a key, of any workspace, by the hash of its secret, and
	// notes that it is used now unless it is not live. ErrNotFound.
	UseKey(ctx context.Context, hash string) (Key, error)

	// HasKey reports whether any workspace has a live key that is no browser
	// key.
	HasKey(ctx context.Context) (bool, error)

	// HasOrigin reports whether any workspace has a live browser key for the
	// pages of an origin.
	HasOrigin(ctx context.Context, origin string) (bool, error)

	// Share finds a share, of any workspace, by the hash of its secret.
	// ErrNotFound.
	Share(ctx context.Context, hash string) (Share, error)

	// Purge forgets for good up to so many designs that can be restored no
	// longer, with their versions, labels and shares and the idempotency keys
	// that made them, and up to so many other keys older than KeyRetention. It
	// returns how much it forgot; when that is nothing, nothing was left to
	// do. Of several callers at once each design is forgotten by one, and not
	// by any when Restore comes first.
	Purge(ctx context.Context, most int) (forgotten int, err error)

	JobQueue
	HookQueue

	// Ping returns nil when designs can be read now.
	Ping(ctx context.Context) error

	// Close waits for calls in progress and frees what the database holds.
	// No method may be called afterwards, of its stores neither.
	Close() error
}

// A Backend is a database that can say what it is, for whoever runs it.
type Backend interface {
	Database

	// Name is that of the driver.
	Name() string

	// Location says where the designs are, without any password.
	Location() string

	// Stats counts connections as they are at this moment.
	Stats() Stats

	// Schema is the version of the database's schema. It may be newer than
	// this program, while a new release comes in. ErrUnavailable.
	Schema(ctx context.Context) (int64, error)
}
