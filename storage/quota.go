package storage

import "fmt"

// A Quota bounds what one workspace may keep; zero is no bound.
type Quota struct {
	Designs  int64 // that are not deleted
	Versions int64 // of deleted designs too, for they can be restored
	Bytes    int64 // of their documents
}

// Usage is what a workspace keeps, counted as Quota counts.
type Usage struct {
	Designs  int64
	Versions int64
	Bytes    int64
}

// A QuotaError says which bound a call would have passed. It is an ErrQuota.
type QuotaError struct {
	What  string // "designs", "versions", "bytes", "keys", "shares", "labels", "jobs" or "hooks"
	Limit int64
}

func (e *QuotaError) Error() string {
	return fmt.Sprintf("%v: %d %s", ErrQuota, e.Limit, e.What)
}

func (e *QuotaError) Unwrap() error { return ErrQuota }
