package hooks

import (
	"errors"
	"fmt"
	"net/netip"
	"net/url"
	"strconv"
	"strings"
	"syscall"
)

// errInside is why an address is not dialled.
var errInside = errors.New("hooks: the address is not in the public network")

// leastPort is the first of the ports that belong to no service of the system.
const leastPort = 1024

// Check says, in words for whoever sent it, why an address cannot be a hook's.
// Where its name leads is judged whenever it is dialled.
func (r Reach) Check(address string) error {
	u, err := url.Parse(address)
	switch {
	case err != nil || u.Opaque != "" || u.Hostname() == "":
		return errors.New("must be an address like https://workshop.example/hooks")
	case u.Scheme != "https" && u.Scheme != "http":
		return errors.New("must begin with https://")
	case u.User != nil:
		return errors.New("must not hold a name or a password; check the signature instead")
	case u.Fragment != "":
		return errors.New("must not have a fragment, which is not sent")
	}
	own, known := false, false
	host := strings.TrimSuffix(strings.ToLower(u.Hostname()), ".") // as resolvers take it
	if ip, err := netip.ParseAddr(host); err == nil {
		own, known = within(ip.Unmap(), loopback), true
		if !r.allows(ip) {
			return errors.New("must not lead to an address inside the network")
		}
	} else if endsInNumber(host) {
		return errors.New("must have an IPv4 address as four decimal numbers without leading zeros, or a name")
	} else if host == "localhost" || strings.HasSuffix(host, ".localhost") { // RFC 6761
		own, known = true, true
	}
	if known && own && !r.Loopback && !r.Private {
		return errors.New("must not lead to this machine")
	}
	if u.Scheme == "http" && !r.Private && !(r.Loopback && own) {
		return errors.New("must begin with https://")
	}
	return checkPort(u)
}

// endsInNumber tells hosts that some resolvers take for IPv4 addresses, such as
// 127.1, 0x7f.1 and 2130706433. The name of no machine ends so (WHATWG URL, "ends
// in a number checker", from memory).
func endsInNumber(host string) bool {
	last := host[strings.LastIndexByte(host, '.')+1:]
	if hex, ok := strings.CutPrefix(last, "0x"); ok {
		return strings.Trim(hex, "0123456789abcdef") == ""
	}
	return last != "" && strings.Trim(last, "0123456789") == ""
}

func checkPort(u *url.URL) error {
	usual := map[string]int{"https": 443, "http": 80}[u.Scheme]
	if u.Port() == "" {
		return nil
	}
	port, err := strconv.Atoi(u.Port())
	if err != nil || port > 65535 || port != usual && port < leastPort {
		return fmt.Errorf("may have the port %d, or one from %d", usual, leastPort)
	}
	return nil
}

// control is asked with the address a name was found to have, before anything
// is sent to it.
func (r Reach) control(_, address string, _ syscall.RawConn) error {
	to, err := netip.ParseAddrPort(address)
	if err != nil || !r.allows(to.Addr()) {
		return errInside
	}
	return nil
}
