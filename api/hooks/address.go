package hooks

import "net/netip"

// Whom an address belongs to, from the IANA IPv4 and IPv6 Special-Purpose
// Address Registries, the multicast registries and RFC 6890 (from memory).
var (
	loopback = prefixes("127.0.0.0/8", "::1/128")

	// private is where a closed network keeps its machines.
	private = prefixes(
		"10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", // RFC 1918
		"100.64.0.0/10", // shared by the customers of a provider, RFC 6598
		"fc00::/7",      // unique local, RFC 4193
	)

	// nowhere is what no receiver has. Link-local addresses are where clouds
	// hand out credentials.
	nowhere = prefixes(
		"0.0.0.0/8",       // this network, RFC 791
		"169.254.0.0/16",  // link-local, RFC 3927
		"192.0.0.0/24",    // protocol assignments, RFC 6890
		"192.0.2.0/24",    // documentation, RFC 5737
		"192.88.99.0/24",  // 6to4 relays, RFC 7526
		"198.18.0.0/15",   // benchmarking, RFC 2544
		"198.51.100.0/24", // documentation, RFC 5737
		"203.0.113.0/24",  // documentation, RFC 5737
		"224.0.0.0/4",     // multicast, RFC 5771
		"240.0.0.0/4",     // reserved and broadcast, RFC 1112 and 8190
		"2001::/23",       // protocol assignments, Teredo and benchmarking among them, RFC 2928
		"2001:db8::/32",   // documentation, RFC 3849
		"2002::/16",       // 6to4, which wraps any IPv4 address, RFC 3056
		"3fff::/20",       // documentation, RFC 9637
	)

	// unicast is all that is assigned for use between IPv6 networks, RFC 3513.
	unicast = prefixes("2000::/3")

	// translated wraps an IPv4 address for networks without any, RFC 6052.
	translated = netip.MustParsePrefix("64:ff9b::/96")
)

func prefixes(list ...string) []netip.Prefix {
	made := make([]netip.Prefix, len(list))
	for i, s := range list {
		made[i] = netip.MustParsePrefix(s)
	}
	return made
}

func within(a netip.Addr, list []netip.Prefix) bool {
	for _, p := range list {
		if p.Contains(a) {
			return true
		}
	}
	return false
}

// A Reach is how far hooks may reach besides the public network.
type Reach struct {
	Loopback bool // this machine
	Private  bool // and the network it is in, also without encryption
}

// allows tells whether hooks may be sent to an address.
func (r Reach) allows(a netip.Addr) bool {
	a = a.Unmap()
	if translated.Contains(a) {
		wrapped := a.As16()
		a = netip.AddrFrom4([4]byte(wrapped[12:]))
	}
	switch {
	case a.Zone() != "" || within(a, nowhere):
		return false
	case within(a, loopback):
		return r.Loopback || r.Private
	case within(a, private):
		return r.Private
	}
	return a.Is4() || within(a, unicast)
}
