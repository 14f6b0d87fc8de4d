package api

import (
	"errors"
	"strings"
)

// entityTag is an entity tag as it stands in a header (RFC 9110, section
// 8.8.3).
type entityTag struct {
	weak   bool
	opaque string // without the quotes
}

func (t entityTag) String() string {
	if t.weak {
		return `W/"` + t.opaque + `"`
	}
	return `"` + t.opaque + `"`
}

var errBadTags = errors.New("api: not a list of entity tags")

// parseTags reads a list of entity tags, or *.
func parseTags(header string) (tags []entityTag, star bool, err error) {
	rest := strings.Trim(header, " \t")
	if rest == "*" {
		return nil, true, nil
	}
	for {
		rest = strings.TrimLeft(rest, " \t")
		var tag entityTag
		rest, tag.weak = strings.CutPrefix(rest, "W/")
		quoted, found := strings.CutPrefix(rest, `"`)
		end := strings.IndexByte(quoted, '"')
		if !found || end < 0 || strings.ContainsAny(quoted[:end], " \t\x7f") {
			return nil, false, errBadTags
		}
		tag.opaque, rest = quoted[:end], strings.TrimLeft(quoted[end+1:], " \t")
		tags = append(tags, tag)
		if rest == "" {
			return tags, false, nil
		}
		if rest, found = strings.CutPrefix(rest, ","); !found {
			return nil, false, errBadTags
		}
	}
}

// names tells whether a client that sends the tag t means what is tagged, in
// either encoding.
func (t entityTag) names(tagged entityTag) bool {
	return strings.TrimSuffix(t.opaque, gzipSuffix) == tagged.opaque
}

// noneMatch tells whether a client that holds the tags in the header needs the
// answer with this tag, and otherwise which of them names it. Tags that cannot
// be read hold nothing.
func noneMatch(header string, tag entityTag) (needed bool, held entityTag) {
	tags, star, err := parseTags(header)
	if err != nil {
		return true, tag
	}
	for _, t := range tags {
		if t.names(tag) { // weak comparison
			return false, entityTag{opaque: t.opaque}
		}
	}
	return !star, tag
}
