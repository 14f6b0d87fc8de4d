package api

import (
	"net"
	"net/http"
	"net/netip"

	"github.com/labstack/echo/v4"
)

// proxies are the networks of those whose word for a client's address is taken.
type proxies []netip.Prefix

// extractor finds the address of a client: that of the connection, or where it
// comes from a proxy the last in X-Forwarded-For that is no proxy. Who sends
// the header without being one is not believed.
func (p proxies) extractor() echo.IPExtractor {
	if len(p) == 0 {
		return echo.ExtractIPDirect()
	}
	options := []echo.TrustOption{echo.TrustLoopback(false), echo.TrustLinkLocal(false), echo.TrustPrivateNet(false)}
	for _, prefix := range p {
		prefix = prefix.Masked()
		options = append(options, echo.TrustIPRange(&net.IPNet{
			IP: prefix.Addr().AsSlice(), Mask: net.CIDRMask(prefix.Bits(), prefix.Addr().BitLen()),
		}))
	}
	return echo.ExtractIPFromXFFHeader(options...)
}

// sent tells whether a request was sent on by one of the proxies.
func (p proxies) sent(r *http.Request) bool {
	at, err := netip.ParseAddrPort(r.RemoteAddr)
	if err != nil {
		return false
	}
	for _, prefix := range p {
		if prefix.Contains(at.Addr().Unmap()) {
			return true
		}
	}
	return false
}

// networkOf is what addresses are counted by: one of IPv4, or what one customer
// of IPv6 has 2^64 of.
func networkOf(address string) string {
	const customer = 64
	a, err := netip.ParseAddr(address)
	if err != nil {
		return address
	}
	a = a.Unmap().WithZone("")
	if a.Is4() {
		return a.String()
	}
	prefix, err := a.Prefix(customer)
	if err != nil {
		return address
	}
	return prefix.String()
}
