package storage

import (
	"errors"
	"fmt"
	"time"

	"foldwright/storage/access"
)

// A Key lets its holder work in one workspace.
type Key struct {
	ID         string
	Workspace  string
	Name       string
	Scope      access.Scope
	Origins    []string // never nil; of a browser key, where its pages are
	CreatedAt  time.Time
	ExpiresAt  *time.Time // nil: never
	LastUsedAt *time.Time // to the minute; nil until it is used
	RevokedAt  *time.Time // nil while it is not
}

// Live reports whether the key is good at this time.
func (k Key) Live(now time.Time) bool {
	return k.RevokedAt == nil && (k.ExpiresAt == nil || now.Before(*k.ExpiresAt))
}

// A NewKey is what a caller says of a key. The secret stays with the caller.
type NewKey struct {
	Name      string
	Scope     access.Scope
	Origins   []string
	ExpiresAt *time.Time
	Hash      string // access.Hash of the secret
}

// MaxNameBytes is the longest name of a key or a share.
const MaxNameBytes = 200

// MaxKeys is how many keys a workspace may have, revoked ones included. It
// keeps the list readable and a stolen key from filling the database.
const MaxKeys = 1000

// Validate reports, as an ErrInvalid, what makes no key.
func (k NewKey) Validate() error {
	var errs []error
	if !validName(k.Name) {
		errs = append(errs, errors.New("the name is not text of a length that can be kept"))
	}
	if !k.Scope.Valid() {
		errs = append(errs, errors.New("there is no such scope"))
	}
	if (k.Scope == access.Browser) != (len(k.Origins) > 0) {
		errs = append(errs, errors.New("a browser key names the origins of its pages, and no other key does"))
	}
	for _, origin := range k.Origins {
		errs = append(errs, access.CheckOrigin(origin))
	}
	if k.Hash == "" {
		errs = append(errs, errors.New("the hash is missing"))
	}
	if err := errors.Join(errs...); err != nil {
		return fmt.Errorf("%w: %w", ErrInvalid, err)
	}
	return nil
}

func validName(s string) bool { return ValidText(s) && len(s) <= MaxNameBytes }
