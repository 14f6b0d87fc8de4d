package api

import (
	"cmp"
	"net/http"
	"strings"

	"github.com/labstack/echo/v4"
)

// setDefaults sets what every answer says unless it says otherwise.
func setDefaults(h http.Header) {
	h.Set(echo.HeaderXContentTypeOptions, "nosniff")
	h.Set(echo.HeaderReferrerPolicy, "no-referrer") // addresses may hold the token of a share
	h.Set(echo.HeaderVary, "Accept, Accept-Encoding, Authorization, Origin")
}

// picturePolicy is for an SVG that is opened as if it were a page: it has its
// style, and needs nothing else.
const picturePolicy = "default-src 'none'; style-src 'unsafe-inline'; img-src data:"

// settle finishes the headers of an answer that is about to be sent.
func (x *exchange) settle(h http.Header) {
	h.Set(echo.HeaderCacheControl, x.cache(cmp.Or(h.Get(echo.HeaderCacheControl), cacheNever)))
	if h.Get(echo.HeaderContentType) == MediaSVG {
		h.Set(echo.HeaderContentSecurityPolicy, picturePolicy)
	}
}

// cacheNever is for what says nothing else: it has no validator, and a cache
// may keep some answers without being told to, a 404 among them (RFC 9110,
// 15.1).
const cacheNever = "no-store"

// cacheShared is for what a share shows: that it is revoked is to be noticed
// soon.
const cacheShared = "private, max-age=300"

// cache keeps what not everyone may read out of caches that everyone uses.
func (x *exchange) cache(wanted string) string {
	rest, public := strings.CutPrefix(wanted, "public")
	switch {
	case !public || x.operation == nil || x.operation.scope == "":
		return wanted
	case x.principal != nil && x.principal.share != nil:
		return cacheShared
	default:
		return "private" + rest
	}
}
