package api

import (
	"maps"
	"net/http"
	"strconv"
)

// answer is an answer whose bytes are ready. It serves for every operation
// that the generated response types do not fit: bodies passed on as they are,
// conditional answers and files.
type answer struct {
	status int
	media  string
	body   []byte
	header http.Header
	tag    *entityTag
	whole  *answer // what a 304 leaves out
}

func newAnswer(status int, media string, body []byte) *answer {
	return &answer{status: status, media: media, body: body, header: http.Header{}}
}

func (a *answer) with(name, value string) *answer {
	a.header.Set(name, value)
	if a.whole != nil {
		a.whole.with(name, value)
	}
	return a
}

// Kinds of caching. A version is for ever; what is worked out from it may
// change with a release of the service, so it is asked for again after a while.
const (
	cacheForEver = "public, max-age=31536000, immutable"
	cacheAWhile  = "public, max-age=3600"
	cacheAskEach = "no-cache"
)

// tagged gives the answer a validator, and makes it 304 when the client holds
// it already.
func (a *answer) tagged(tag entityTag, cache string, ifNoneMatch *IfNoneMatch) *answer {
	a.tag = &tag
	a.with("ETag", tag.String()).with("Cache-Control", cache)
	if ifNoneMatch == nil {
		return a
	}
	return a.unlessHeld(*ifNoneMatch)
}

// unlessHeld is the answer, or a 304 for a client that holds it already.
func (a *answer) unlessHeld(ifNoneMatch string) *answer {
	if a.tag == nil || ifNoneMatch == "" {
		return a
	}
	needed, held := noneMatch(ifNoneMatch, *a.tag)
	if needed {
		return a
	}
	header := a.header.Clone()
	header.Set("ETag", held.String())
	return &answer{status: http.StatusNotModified, header: header, whole: a}
}

// entire is the answer for who holds nothing.
func (a *answer) entire() *answer {
	if a.whole != nil {
		return a.whole
	}
	return a
}

// taggedByBody is tagged with the hash of the body.
func (a *answer) taggedByBody(cache string, ifNoneMatch *IfNoneMatch) *answer {
	return a.tagged(hashTag(hashOf(a.body)), cache, ifNoneMatch)
}

func (a *answer) write(w http.ResponseWriter) error {
	maps.Copy(w.Header(), a.header.Clone()) // others may be sent the same answer
	if a.media != "" {
		w.Header().Set("Content-Type", a.media)
		w.Header().Set("Content-Length", strconv.Itoa(len(a.body)))
	}
	w.WriteHeader(a.status)
	_, err := w.Write(a.body)
	return err
}
