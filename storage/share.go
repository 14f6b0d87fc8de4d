package storage

import (
	"fmt"
	"time"
)

// A Share lets whoever has its link read one version of a design, or every
// version.
type Share struct {
	ID        string
	Workspace string
	DesignID  string
	Version   int // 0: every version, also those still to come
	Name      string
	CreatedAt time.Time
	ExpiresAt *time.Time // nil: never
	RevokedAt *time.Time // nil while it is not
}

// Live reports whether the link is good at this time.
func (s Share) Live(now time.Time) bool {
	return s.RevokedAt == nil && (s.ExpiresAt == nil || now.Before(*s.ExpiresAt))
}

// A NewShare is what a caller says of a share. The secret stays with the
// caller.
type NewShare struct {
	Version   int
	Name      string
	ExpiresAt *time.Time
	Hash      string // access.Hash of the secret
}

// MaxShares is how many shares a design may have, revoked ones included.
const MaxShares = 1000

// Validate reports, as an ErrInvalid, what makes no share.
func (s NewShare) Validate() error {
	if !validName(s.Name) || s.Hash == "" {
		return fmt.Errorf("%w: the name is not text of at most %d bytes, or the hash is missing", ErrInvalid, MaxNameBytes)
	}
	return nil
}
