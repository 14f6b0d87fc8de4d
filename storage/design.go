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

// Keys and tags stand in indexes, and Postgres refuses an index entry of more than
// about 2,700 bytes; this stays clear of that on every driver.
const (
	MaxKeyBytes = 255
	MaxTagBytes = 255
)

// The longest words that may be said of a version, in characters. The contract
// has the same, and labels are short enough for an index.
const (
	MaxMessage = 500
	MaxAuthor  = 100
	MaxLabel   = 60
)

// MaxLabels is how many labels a design may have.
const MaxLabels = 100

// CheckLabel reports, as an ErrInvalid, what is no label: one that would not get
// through its address. Clients take the names . and .. out of an address.
func CheckLabel(label string) error {
	if label == "" || label == "." || label == ".." || !short(label, MaxLabel, "/\n\t") {
		return fmt.Errorf("%w: a label is text of 1 to %d characters without slashes or control characters, and not . or .. alone", ErrInvalid, MaxLabel)
	}
	return nil
}

// short reports whether s is text of up to so many characters, with none of
// those named and no control characters but tabs and line feeds.
func short(s string, most int, without string) bool {
	return ValidText(s) && utf8.RuneCountInString(s) <= most && !strings.ContainsAny(s, without) &&
		!strings.ContainsFunc(s, func(r rune) bool { return r < ' ' && r != '\t' && r != '\n' || r == 0x7f })
}

// Validate reports, as an ErrInvalid, what no driver could keep unchanged, and
// what the contract does not take.
func (v NewVersion) Validate() error {
	if !ValidText(v.Title) || !ValidText(v.Hash) {
		return fmt.Errorf("%w: the title or the hash is not text", ErrInvalid)
	}
	if !short(v.Message, MaxMessage, "") {
		return fmt.Errorf("%w: a message is text of up to %d characters without control characters but tabs and line feeds", ErrInvalid, MaxMessage)
	}
	if !short(v.Author, MaxAuthor, "\n\t") {
		return fmt.Errorf("%w: an author is text of up to %d characters without control characters", ErrInvalid, MaxAuthor)
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

// What times an import may bring: none before clocks counted them, nor so far
// ahead that it is no difference between clocks.
var earliest = time.Unix(0, 0)

const maxAhead = 24 * time.Hour

// CheckTime reports, as an ErrInvalid, a time at which nothing can have been
// stored, by a clock that shows now.
func CheckTime(at, now time.Time) error {
	if at.Before(earliest) || at.Sub(now) > maxAhead {
		return fmt.Errorf("%w: %s is not a time from 1970 to now", ErrInvalid, at.Format(time.RFC3339))
	}
	return nil
}

// ValidText reports whether s can be kept: UTF-8 without NUL, which Postgres
// has no way to store.
func ValidText(s string) bool {
	return utf8.ValidString(s) && !strings.ContainsRune(s, 0)
}
