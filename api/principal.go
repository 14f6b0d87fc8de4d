package api

import (
	"context"
	"errors"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"foldwright/storage"
	"foldwright/storage/access"

	"github.com/labstack/echo/v4"
)

// principal is on whose behalf a request is answered.
type principal struct {
	workspace string       // where the request works; none without a key or a share
	scope     access.Scope // what it may do; none, only what is open to everyone
	key       *storage.Key
	share     *storage.Share
	address   string // of the client, or of its network
	self      bool   // who runs the service on their own machine
}

// client is what requests are counted and queued by: a key, or the address
// where anyone may have what is sent.
func (p *principal) client() string {
	if p.key != nil && p.key.Scope != access.Browser {
		return "key " + p.key.ID
	}
	return "address " + p.address
}

// authenticate is the middleware that finds out who sends a request, holds that
// to their rate, and lets through what they may do.
func (s *Server) authenticate(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		x := exchangeOf(c.Request().Context())
		x.principal = &principal{address: networkOf(c.RealIP())}
		refused := s.identify(c, x)
		s.shareWithOrigin(c, x)
		if err := s.holdToRate(c, x, refused != nil); err != nil {
			return err
		}
		if refused != nil {
			return refused
		}
		if err := s.permit(c, x); err != nil {
			return err
		}
		return next(c)
	}
}

// storeTimeout bounds looking up a key or a share.
const storeTimeout = 5 * time.Second

// identify fills in the principal from what the request brings to prove it. It
// refuses a proof that is not good, also where none is needed: whoever sends
// one means it.
func (s *Server) identify(c echo.Context, x *exchange) error {
	r := c.Request()
	ctx, cancel := context.WithTimeout(r.Context(), storeTimeout)
	defer cancel()
	if token := c.QueryParam(shareParameter); token != "" && x.operation != nil && x.operation.shared {
		return s.identifyShare(ctx, x.principal, token)
	}
	if header := r.Header.Get(echo.HeaderAuthorization); header != "" {
		return s.identifyKey(ctx, x.principal, r, header)
	}
	if !s.keysRequired && s.isOwnMachine(r) {
		x.principal.workspace, x.principal.scope, x.principal.self = access.Local, access.Admin, true
	}
	return nil
}

func (s *Server) identifyKey(ctx context.Context, p *principal, r *http.Request, header string) error {
	scheme, secret, _ := strings.Cut(header, " ")
	secret = strings.TrimLeft(secret, " ")
	if !strings.EqualFold(scheme, "Bearer") || !access.KeySecret.IsSecret(secret) && !access.BrowserSecret.IsSecret(secret) {
		return badKey(reasonUnknownKey, "the Authorization header holds no key; send Authorization: Bearer and the key, as it was shown when it was made")
	}
	k, err := s.database.UseKey(ctx, access.Hash(secret))
	switch {
	case errors.Is(err, storage.ErrNotFound):
		return badKey(reasonUnknownKey, "there is no such key")
	case err != nil:
		return err
	case k.RevokedAt != nil:
		return badKey(reasonRevokedKey, "the key was revoked; ask for another")
	case !k.Live(s.now()):
		return badKey(reasonExpiredKey, "the key has expired; ask for another")
	}
	p.workspace, p.scope, p.key = k.Workspace, k.Scope, &k
	return nil
}

// Reasons for asking for a key, and for not letting one do what it is sent for.
const (
	reasonNoKey      = "no_key"
	reasonUnknownKey = "unknown_key"
	reasonRevokedKey = "revoked_key"
	reasonExpiredKey = "expired_key"
	reasonScope      = "scope"
	reasonOrigin     = "origin"
)

func badKey(reason, detail string) error {
	return &fault{kind: keyRequired, reason: reason, detail: detail, challenge: `error="invalid_token"`}
}

const shareParameter = "share"

// errNoShare does not tell a token that never was from one that is not good any
// more, nor whether there is a design behind it.
var errNoShare = &fault{kind: notFound, detail: "there is nothing behind this link; it may have been revoked or have expired"}

func (s *Server) identifyShare(ctx context.Context, p *principal, token string) error {
	share, err := s.liveShare(ctx, token)
	if err != nil {
		return err
	}
	p.workspace, p.share = share.Workspace, &share
	return nil
}

func (s *Server) liveShare(ctx context.Context, token string) (storage.Share, error) {
	if !access.ShareSecret.IsSecret(token) {
		return storage.Share{}, errNoShare
	}
	share, err := s.database.Share(ctx, access.Hash(token))
	if errors.Is(err, storage.ErrNotFound) || err == nil && !share.Live(s.now()) {
		return storage.Share{}, errNoShare
	}
	return share, err
}

// permit decides whether the principal may do what the operation does.
func (s *Server) permit(c echo.Context, x *exchange) error {
	p, op := x.principal, x.operation
	origin := c.Request().Header.Get(echo.HeaderOrigin)
	switch {
	case p.key != nil && p.key.Scope == access.Browser && !slices.Contains(p.key.Origins, origin):
		return &fault{kind: forbidden, reason: reasonOrigin, detail: "a browser key works only from pages of the origins it names; a server needs a key of the scope read or more"}
	case op == nil || op.scope == "":
		return nil
	case p.share != nil:
		if c.Param("id") != p.share.DesignID || p.share.Version != 0 && c.Param("n") != strconv.Itoa(p.share.Version) {
			return errNoShare
		}
		return nil
	case p.scope == "":
		detail := "send a key: Authorization: Bearer " + string(access.KeySecret) + "…"
		if !s.keysRequired {
			detail = "without a key this service answers only its own machine and its own pages; " + detail
		}
		return &fault{kind: keyRequired, reason: reasonNoKey, detail: detail}
	case !p.scope.Includes(op.scope):
		return &fault{
			kind:      forbidden,
			reason:    reasonScope,
			detail:    "this needs a key of the scope " + string(op.scope) + "; the key sent has the scope " + string(p.scope),
			challenge: `error="insufficient_scope", scope="` + string(op.scope) + `"`,
		}
	}
	return nil
}
