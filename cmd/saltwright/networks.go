package main

import (
	"fmt"
	"net"
	"strings"
)

// The largest private networks (RFC 1918, RFC 4193). Whoever is in a trusted network chooses whom its requests are
// counted for, and nobody's proxies are more than a private network.
const (
	widestIPv4 = 8
	widestIPv6 = 7
)

// readNetworks reads networks divided by commas or blanks.
func readNetworks(text string) ([]*net.IPNet, error) {
	var out []*net.IPNet
	for _, one := range strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ' ' }) {
		address, network, err := net.ParseCIDR(one)
		if err != nil {
			return nil, err
		}
		bits, all := network.Mask.Size()
		widest := widestIPv6
		if address.To4() != nil {
			widest = widestIPv4 + all - 32 // ::ffff:0:0/96 is all of IPv4, too
		}
		switch {
		case bits < widest:
			return nil, fmt.Errorf("%s is most of the internet, and whoever is in it could choose whom it is "+
				"counted as: name your proxies' own network, /%d or narrower", one, widest)
		case !network.IP.Equal(address):
			return nil, fmt.Errorf("%s is an address in the network %s: say which is meant, %s/%d or %s",
				one, network, address, all, network)
		}
		out = append(out, network)
	}
	return out, nil
}
