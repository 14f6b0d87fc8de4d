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
}

func newAnswer(status int, media string, body []byte) *answer {
	return &answer{status: status, media: media, body: body, header: http.Header{}}
}

func (a *answer) with(name, value string) *answer {
	a.header.Set(name, value)
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
	a.with("ETag", tag.String()).with("Cache-Control", cache)
	if ifNoneMatch == nil {
		return a
	}
	if needed, held := noneMatch(*ifNoneMatch, tag); !needed {
		a.status, a.media, a.body = http.StatusNotModified, "", nil
		a.with("ETag", held.String())
	}
	return a
}

// taggedByBody is tagged with the hash of the body.
func (a *answer) taggedByBody(cache string, ifNoneMatch *IfNoneMatch) *answer {
	return a.tagged(hashTag(hashOf(a.body)), cache, ifNoneMatch)
}

func (a *answer) write(w http.ResponseWriter) error {
	maps.Copy(w.Header(), a.header)
	if a.media != "" {
		w.Header().Set("Content-Type", a.media)
		w.Header().Set("Content-Length", strconv.Itoa(len(a.body)))
	}
	w.WriteHeader(a.status)
	_, err := w.Write(a.body)
	return err
}
