package main

import (
	"context"
	"fmt"
	"net"
	"net/netip"

	"foldwright/storage"
)

// keysRequired tells whether the service needs keys, and refuses to start when
// it does and there are none: nobody could use it.
func (c *serveCommand) keysRequired(ctx context.Context, store storage.Backend) (bool, error) {
	exposed := !isLoopback(c.Addr)
	if !exposed && !c.RequireKeys {
		return false, nil
	}
	has, err := store.HasKey(ctx)
	if err != nil || has {
		return true, err
	}
	why := "FOLDWRIGHT_REQUIRE_KEYS asks for keys"
	if exposed {
		why = "others can reach " + c.Addr + ", so the service asks for keys"
	}
	return true, fmt.Errorf("%s, and there are none; make one with\n  foldwright key create --scope admin\nin the same environment, and start again", why)
}

// isLoopback tells whether only this machine can reach an address to listen on.
// A name other than localhost may lead anywhere.
func isLoopback(addr string) bool {
	host, _, err := net.SplitHostPort(addr)
	if err != nil {
		return true // listening on it will fail, and say why
	}
	ip, err := netip.ParseAddr(host)
	return host == "localhost" || err == nil && ip.Unmap().IsLoopback()
}
