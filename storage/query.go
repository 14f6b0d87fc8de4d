package storage

import (
	"fmt"
	"strings"
	"time"
)

// Sizes of a page: the default when a query names none, and the most it may
// hold whatever the query says.
const (
	DefaultLimit = 50
	MaxLimit     = 500
)

// A Query chooses designs to list. Its zero value lists all live designs.
type Query struct {
	Search  string    // words, each of them part of the title, in any case; see Fold
	Tags    []string  // tags, all of them, exactly
	Label   string    // a label that one of the versions has, exactly
	Since   time.Time // only those updated then or later; zero is any time
	Deleted bool      // list the deleted designs instead of the live ones
	Sort    Sort      // the order; empty is NewestFirst
	Limit   int       // designs in a page; below 1 is DefaultLimit
	Cursor  string    // Next of the page before; empty for the first page
}

// A Sort is the order of a list of designs.
type Sort string

// The orders of a list. Equal keys are in the order of ids, which turns round
// with them.
const (
	NewestFirst   Sort = "-created"
	OldestFirst   Sort = "created"
	UpdatedLately Sort = "-updated"
	UpdatedLong   Sort = "updated"
	TitleUp       Sort = "title"
	TitleDown     Sort = "-title"
)

// TitleKey is by how many characters of their folded titles designs are sorted:
// what an index and the address of a page have room for. The indexes say it too.
const TitleKey = 60

// By is what the order is of, and whether the greatest comes first.
func (s Sort) By() (key string, down bool) {
	if s == "" {
		s = NewestFirst
	}
	return strings.CutPrefix(string(s), "-")
}

// Validate reports, as an ErrInvalid, an order there is not.
func (s Sort) Validate() error {
	switch s {
	case "", NewestFirst, OldestFirst, UpdatedLately, UpdatedLong, TitleUp, TitleDown:
		return nil
	}
	return fmt.Errorf("%w: there is no order %q", ErrInvalid, string(s))
}

// Words are the folded words of the search.
func (q Query) Words() []string { return strings.Fields(Fold(q.Search)) }

// A Page is a run of designs.
type Page struct {
	Designs []Design
	Next    string // cursor of the following page, empty after the last
}

// A VersionQuery chooses versions to list.
type VersionQuery struct {
	Limit  int
	Cursor string
}

// A VersionPage is a run of versions whose Document is nil.
type VersionPage struct {
	Versions []Version
	Next     string
}
