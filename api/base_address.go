package api

import (
	"net/http"
	"regexp"
)

// hostRule is a host name or address with or without a port.
var hostRule = regexp.MustCompile(`^[A-Za-z0-9.-]{1,253}(:[0-9]{1,5})?$|^\[[0-9A-Fa-f:.]{2,45}\](:[0-9]{1,5})?$`)

// baseOf is the address a client found the service at, to be shown to it again.
// It comes from the client, so nothing but a plain host is believed.
func (s *Server) baseOf(r *http.Request) string {
	scheme, host := "http", r.Host
	if r.TLS != nil || r.Header.Get("X-Forwarded-Proto") == "https" && s.proxies.sent(r) {
		scheme = "https"
	}
	if !hostRule.MatchString(host) {
		host = "127.0.0.1:8080"
	}
	return scheme + "://" + host
}
