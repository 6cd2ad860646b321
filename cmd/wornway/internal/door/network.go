package door

import (
	"errors"
	"net"
	"net/netip"
)

// Here is where a door listens that is for this machine alone.
var Here = netip.AddrFrom4([4]byte{127, 0, 0, 1})

// errNoNetwork is that this machine has no address on a network.
var errNoNetwork = errors.New("this machine has no address on a network")

// OnNetwork returns the address by which the machines of the shop reach this one: a private one, as shops and homes
// have it (RFC 1918, RFC 4193), before any other.
func OnNetwork() (netip.Addr, error) {
	all, err := net.InterfaceAddrs()
	if err != nil {
		return netip.Addr{}, err
	}
	var other netip.Addr
	for _, a := range all {
		p, err := netip.ParsePrefix(a.String())
		if err != nil {
			continue
		}
		at := p.Addr().Unmap()
		switch {
		case at.IsLoopback() || at.IsLinkLocalUnicast() || at.IsUnspecified():
		case at.IsPrivate() && at.Is4():
			return at, nil
		case !other.IsValid():
			other = at
		}
	}
	if !other.IsValid() {
		return other, errNoNetwork
	}
	return other, nil
}
