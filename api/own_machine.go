package api

import (
	"net"
	"net/http"
	"net/netip"
	"slices"
	"strings"

	"github.com/labstack/echo/v4"
)

// forwarding is what proxies add to a request that they send on.
var forwarding = []string{"Forwarded", "Via", echo.HeaderXForwardedFor, echo.HeaderXForwardedProto, "X-Forwarded-Host", echo.HeaderXRealIP}

// isOwnMachine tells whether a request that came to a loopback address was also
// meant for it, by no page of somebody else. The name keeps out pages that let
// their own name point here, and with the headers of proxies it keeps out one
// that lets others in.
func (s *Server) isOwnMachine(r *http.Request) bool {
	host := r.Host
	if name, _, err := net.SplitHostPort(host); err == nil {
		host = name
	}
	host = strings.Trim(host, "[]")
	address, err := netip.ParseAddr(host)
	if host != "localhost" && !(err == nil && address.IsLoopback()) && (host != s.ownName || host == "") {
		return false
	}
	for _, name := range forwarding {
		if r.Header.Get(name) != "" {
			return false
		}
	}
	origin := r.Header.Get(echo.HeaderOrigin)
	return origin == "" || origin == "http://"+r.Host || slices.Contains(s.origins, origin)
}
