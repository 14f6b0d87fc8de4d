package keyset

import (
	"encoding/binary"
	"math"
	"strings"
	"time"
	"unicode/utf8"

	"foldwright/storage"
)

// Place is where a page of designs ended in its order, or, before the first page,
// what stands before every design.
type Place struct {
	At    time.Time // where they are sorted by a time
	Title string    // where they are sorted by title
	ID    string
}

// AfterDesign returns the cursor of the page that follows d in q's list.
func AfterDesign(q storage.Query, d storage.Design) string {
	switch key, _ := q.Sort.By(); key {
	case "title":
		b := binary.BigEndian.AppendUint16(header(designMark(q)), uint16(len(d.ID))) //nolint:gosec // ids have up to 64 bytes
		return encoding.EncodeToString(append(append(b, d.ID...), titleKey(d.Title)...))
	case "updated":
		return after(designMark(q), End{d.UpdatedAt, d.ID})
	default:
		return after(designMark(q), End{d.CreatedAt, d.ID})
	}
}

// Designs reads q's cursor.
func Designs(q storage.Query) (Place, error) {
	key, down := q.Sort.By()
	if q.Cursor == "" {
		return first(down), nil
	}
	if key == "title" {
		return titled(q)
	}
	e, err := end(designMark(q), q.Cursor)
	return Place{At: e.CreatedAt, ID: e.ID}, err
}

// first stands before every design. Nothing is earlier than the year 1 or later
// than microseconds at the limit, the year 294247, and Postgres holds both; no
// title is greater than one of the last character, once more than is compared.
func first(down bool) Place {
	if !down {
		return Place{}
	}
	return Place{At: time.UnixMicro(math.MaxInt64).UTC(), Title: strings.Repeat(string(utf8.MaxRune), storage.TitleKey+1)}
}

func titled(q storage.Query) (Place, error) {
	rest, err := body(q.Cursor, designMark(q))
	if err != nil || len(rest) < 2 {
		return Place{}, storage.ErrBadCursor
	}
	n, rest := int(binary.BigEndian.Uint16(rest)), rest[2:]
	if n == 0 || n > len(rest) || !storage.ValidText(string(rest[:n])) || !storage.ValidText(string(rest[n:])) {
		return Place{}, storage.ErrBadCursor
	}
	return Place{ID: string(rest[:n]), Title: string(rest[n:])}, nil
}

// titleKey is the part of a title that designs are sorted by.
func titleKey(title string) string {
	folded := []rune(storage.Fold(title))
	return string(folded[:min(len(folded), storage.TitleKey)])
}
