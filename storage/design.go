package storage

import (
	"fmt"
	"strings"
	"time"
	"unicode/utf8"
)

// A Design is the head of a row of versions.
type Design struct {
	ID        string
	Title     string
	Tags      []string // never nil, in the order given
	Version   int      // number of the newest version, from 1
	CreatedAt time.Time
	UpdatedAt time.Time  // when the newest version was made
	DeletedAt *time.Time // nil while the design is live

	// RestorableUntil is when a deleted design is forgotten for good, at the
	// earliest; nil while it is live, and when deleted designs are kept for
	// ever.
	RestorableUntil *time.Time
}

// A Version is one immutable state of a design's document.
type Version struct {
	DesignID  string
	Number    int
	Document  []byte
	Hash      string // "sha256:<hex>" of the document, computed by the caller
	CreatedAt time.Time
	Message   string
	Author    string

	// Labels are the names it has been given, in order. Only a list of
	// versions tells them.
	Labels []string
}

// A NewVersion is what a caller brings: the document and what is said of it.
// The caller normalises Tags; they are kept as given.
type NewVersion struct {
	Title    string
	Tags     []string
	Document []byte
	Hash     string
	Message  string
	Author   string
}

// An IdempotencyKey lets a caller repeat a call without repeating its effect.
// The zero value is no key.
//
// The keys of a workspace share one namespace, so Fingerprint must be a hash of the whole
// request: the operation and its target as well as its body.
type IdempotencyKey struct {
	Key         string
	Fingerprint string
}

// IsZero reports whether there is no key.
func (k IdempotencyKey) IsZero() bool { return k.Key == "" }

// Keys, tags and labels stand in indexes, and Postgres refuses an index entry of
// more than about 2,700 bytes; this stays clear of that on every driver.
const (
	MaxKeyBytes   = 255
	MaxTagBytes   = 255
	MaxLabelBytes = 255
)

// MaxLabels is how many labels a design may have.
const MaxLabels = 100

// ValidLabel reports whether a label can be kept.
func ValidLabel(label string) bool {
	return label != "" && len(label) <= MaxLabelBytes && ValidText(label) && !strings.ContainsFunc(label, notInLabel)
}

// notInLabel tells what would not get through the address of a label.
func notInLabel(r rune) bool { return r < ' ' || r == 0x7f || r == '/' }

// Validate reports, as an ErrInvalid, what no driver could keep unchanged.
func (v NewVersion) Validate() error {
	for _, field := range []struct{ name, text string }{
		{"title", v.Title}, {"hash", v.Hash}, {"message", v.Message}, {"author", v.Author},
	} {
		if !ValidText(field.text) {
			return fmt.Errorf("%w: the %s is not text", ErrInvalid, field.name)
		}
	}
	for _, tag := range v.Tags {
		if !ValidText(tag) || len(tag) > MaxTagBytes {
			return fmt.Errorf("%w: a tag is not text of at most %d bytes", ErrInvalid, MaxTagBytes)
		}
	}
	return nil
}

// Validate reports, as an ErrInvalid, a key that no driver could keep.
func (k IdempotencyKey) Validate() error {
	if !ValidText(k.Key) || len(k.Key) > MaxKeyBytes || !ValidText(k.Fingerprint) {
		return fmt.Errorf("%w: the idempotency key is not text of at most %d bytes", ErrInvalid, MaxKeyBytes)
	}
	return nil
}

// ValidText reports whether s can be kept: UTF-8 without NUL, which Postgres
// has no way to store.
func ValidText(s string) bool {
	return utf8.ValidString(s) && !strings.ContainsRune(s, 0)
}
