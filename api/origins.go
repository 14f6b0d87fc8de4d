package api

import (
	"context"
	"net/http"
	"slices"
	"strings"

	"foldwright/storage/access"

	"github.com/labstack/echo/v4"
)

// The Fetch standard lets pages of other origins read an answer only if it
// names theirs (CORS).
const (
	headerAllowOrigin   = "Access-Control-Allow-Origin"
	headerExposeHeaders = "Access-Control-Expose-Headers"
	headerAllowMethods  = "Access-Control-Allow-Methods"
	headerAllowHeaders  = "Access-Control-Allow-Headers"
	headerMaxAge        = "Access-Control-Max-Age"
	headerRequestMethod = "Access-Control-Request-Method"
)

var (
	readByPages = strings.Join([]string{
		"Content-Disposition", "Content-Location", "ETag", "Idempotency-Replayed", "Link", "Location",
		"RateLimit", "RateLimit-Policy", "Retry-After", "WWW-Authenticate", requestIDHeader,
	}, ", ")
	sentByPages   = strings.Join([]string{"Accept", "Authorization", "Content-Type", "Idempotency-Key", "If-Match", "If-None-Match", requestIDHeader, "Traceparent", "Tracestate"}, ", ")
	methodsOfAPI  = strings.Join([]string{http.MethodGet, http.MethodHead, http.MethodPost, http.MethodPut, http.MethodPatch, http.MethodDelete}, ", ")
	preflightKept = "600" // seconds; so long a revoked origin may still ask, in vain
)

// shareWithOrigin lets pages of other origins read an answer: of the origins
// that may read everything; of those a browser key names, what is asked for with
// it; and of any, what is open to everyone or to whoever has the link.
func (s *Server) shareWithOrigin(c echo.Context, x *exchange) {
	origin := c.Request().Header.Get(echo.HeaderOrigin)
	if origin == "" {
		return
	}
	header := c.Response().Header()
	p := x.principal
	switch {
	case slices.Contains(s.origins, origin), p.key != nil && p.key.Scope == access.Browser && slices.Contains(p.key.Origins, origin):
		header.Set(headerAllowOrigin, origin)
	case p.share != nil, x.operation != nil && x.operation.scope == "":
		header.Set(headerAllowOrigin, "*")
	default:
		return
	}
	header.Set(headerExposeHeaders, readByPages)
}

// preflight is the middleware that answers browsers that ask before they send a
// page's request. They do not tell its key then, so any key that names the
// origin will do; the request itself is held to its own.
func (s *Server) preflight(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		r := c.Request()
		origin := r.Header.Get(echo.HeaderOrigin)
		if r.Method != http.MethodOptions || origin == "" || r.Header.Get(headerRequestMethod) == "" {
			return next(c)
		}
		x := exchangeOf(r.Context())
		x.principal = &principal{address: networkOf(c.RealIP())}
		if err := s.holdToRate(c, x, false); err != nil {
			return err
		}
		allowed := slices.Contains(s.origins, origin)
		if !allowed && access.CheckOrigin(origin) == nil {
			ctx, cancel := context.WithTimeout(r.Context(), storeTimeout)
			defer cancel()
			var err error
			if allowed, err = s.database.HasOrigin(ctx, origin); err != nil {
				return err
			}
		}
		if !allowed {
			return &fault{kind: forbidden, reason: reasonOrigin, detail: "no browser key names the origin of this page"}
		}
		header := c.Response().Header()
		header.Set(headerAllowOrigin, origin)
		header.Set(headerAllowMethods, methodsOfAPI)
		header.Set(headerAllowHeaders, sentByPages)
		header.Set(headerMaxAge, preflightKept)
		return c.NoContent(http.StatusNoContent)
	}
}
