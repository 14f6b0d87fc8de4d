package storage

import (
	"errors"
	"fmt"
)

// What a store answers with; test for them with errors.Is.
var (
	ErrNotFound    = errors.New("storage: no such thing in the workspace")
	ErrDeleted     = errors.New("storage: the design is deleted")
	ErrConflict    = errors.New("storage: the design is at another version")
	ErrKeyReused   = errors.New("storage: the idempotency key was used for another request")
	ErrTaken       = errors.New("storage: the id belongs to another design")
	ErrBadCursor   = errors.New("storage: the cursor was not made for this list")
	ErrQuota       = errors.New("storage: the workspace is full")
	ErrInvalid     = errors.New("storage: the value cannot be kept")
	ErrUnavailable = errors.New("storage: the database cannot be reached, is too busy or its disk is full")

	// ErrSchema is returned on opening only: the database's schema is older
	// or newer than the one this program was built for.
	ErrSchema = errors.New("storage: the database has another schema")
)

// NoLabelError says that a version does not have a label. It is an ErrNotFound.
type NoLabelError struct {
	Version int
	Label   string
	On      int      // the version that has it, 0 if none does
	Has     []string // the labels that the version has
}

func (e *NoLabelError) Error() string {
	return fmt.Sprintf("%v: version %d has no label %q", ErrNotFound, e.Version, e.Label)
}

// Unwrap makes it an ErrNotFound.
func (e *NoLabelError) Unwrap() error { return ErrNotFound }

// IsAnswer reports whether err is one that the contract names, rather than
// something that went wrong in the database.
func IsAnswer(err error) bool {
	for _, answer := range []error{
		ErrNotFound, ErrDeleted, ErrConflict, ErrKeyReused, ErrTaken, ErrBadCursor, ErrQuota, ErrInvalid, ErrUnavailable, ErrSchema,
	} {
		if errors.Is(err, answer) {
			return true
		}
	}
	return false
}
