package storage

import "context"

// A Store keeps designs. All methods may be called at the same time, also by
// several processes on the same database.
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
	// ErrInvalid: see NewVersion.Validate and IdempotencyKey.Validate.
	Create(ctx context.Context, v NewVersion, key IdempotencyKey) (d Design, made Version, replayed bool, err error)

	// Get returns a live design. ErrNotFound, ErrDeleted.
	Get(ctx context.Context, id string) (Design, error)

	// List returns a page of designs, the newest created first and equal
	// times by descending id. A design that is there from the first page to
	// the last and keeps matching the query is listed exactly once,
	// whatever is written in between.
	//
	// ErrBadCursor: the cursor was not made for this search, tag and
	// deleted state. The limit may change from page to page.
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
	// ErrConflict.
	AddVersion(ctx context.Context, id string, ifVersion int, v NewVersion, key IdempotencyKey) (d Design, made Version, replayed bool, err error)

	// Version returns one version of a live design, with its document.
	// ErrNotFound: no such design or version. ErrDeleted.
	Version(ctx context.Context, id string, n int) (Version, error)

	// Versions returns a page of a live design's versions without their
	// documents, the newest first. ErrNotFound, ErrDeleted, ErrBadCursor.
	Versions(ctx context.Context, id string, q VersionQuery) (VersionPage, error)

	// Delete hides a live design, provided that ifVersion is the number of
	// its newest version; 0 means whatever is newest. Nothing is lost:
	// Restore brings it back. ErrNotFound, ErrDeleted, ErrConflict.
	Delete(ctx context.Context, id string, ifVersion int) error

	// Restore makes a deleted design live again and returns it. Restoring a
	// live design changes nothing. ErrNotFound.
	Restore(ctx context.Context, id string) (Design, error)

	// Ping returns nil when designs can be read now.
	Ping(ctx context.Context) error

	// Close waits for calls in progress and frees what the store holds.
	// No method may be called afterwards.
	Close() error
}

// A Backend is a store that can say what it is, for whoever runs it.
type Backend interface {
	Store

	// Name is that of the driver.
	Name() string

	// Location says where the designs are, without any password.
	Location() string

	// Stats counts connections as they are at this moment.
	Stats() Stats
}
