package storage

import (
	"time"

	"github.com/google/uuid"
)

// Options are what every driver takes. The zero value is ready for use.
type Options struct {
	// Now is the clock; nil is the machine's. Stores bring its times to UTC
	// and cut them to the microsecond. It and NewID are called by several
	// goroutines at once. It may be set back: keys and shares that ended are
	// good again until it passes their end, idempotency keys are forgotten
	// that much later, and versions keep their numbers and what they hold.
	Now func() time.Time

	// NewID makes the id of a design, a key, a share or a job; nil makes UUIDs of version 7, which
	// grow with time and so keep the primary index compact.
	NewID func() string

	// Quota bounds each workspace. What a workspace has already is left to it.
	Quota Quota

	// JobRetention is how long an ended job is kept; 0 is DefaultJobRetention.
	JobRetention time.Duration

	// DeletedRetention is how long a deleted design can be restored; 0 is for
	// ever.
	DeletedRetention time.Duration

	// SkipMigrate opens the database as it is, and fails with ErrSchema if
	// its schema is not the newest.
	SkipMigrate bool
}

// KeyRetention is how long an idempotency key is remembered at the least: far
// longer than any client repeats a call whose answer it missed.
const KeyRetention = 7 * 24 * time.Hour

// Dated returns a design with the time until which it can be restored.
func (o Options) Dated(d Design) Design {
	if d.DeletedAt != nil && o.DeletedRetention > 0 {
		d.RestorableUntil = new(d.DeletedAt.Add(o.DeletedRetention))
	}
	return d
}

// WithDefaults returns the options with every part filled in.
func (o Options) WithDefaults() Options {
	clock := o.Now
	if clock == nil {
		clock = time.Now
	}
	// Postgres keeps microseconds: cutting here makes what a write returns
	// equal to what a later read returns, on every driver.
	o.Now = func() time.Time { return clock().UTC().Truncate(time.Microsecond) }
	if o.JobRetention == 0 {
		o.JobRetention = DefaultJobRetention
	}
	if o.NewID == nil {
		o.NewID = func() string { return uuid.Must(uuid.NewV7()).String() }
	}
	return o
}
