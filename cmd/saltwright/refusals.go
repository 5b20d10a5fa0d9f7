package main

import (
	"fmt"
	"net"
	"strings"
)

// refuse returns what no operator can mean: settings that would turn a protection off in silence.
func (s settings) refuse() error {
	switch {
	case s.perMinute < 0:
		return fmt.Errorf("per-minute %d: want 1 or more, or 0 for no limits", s.perMinute)
	case s.perMinute > 0 && s.perDay < s.perMinute:
		return fmt.Errorf("per-day %d: want no less than per-minute, %d", s.perDay, s.perMinute)
	case s.drainDelay < 0:
		return fmt.Errorf("drain-delay %v: want 0 or more", s.drainDelay)
	case s.shutdownTimeout <= 0:
		return fmt.Errorf("shutdown-timeout %v: want more than 0, or nobody's last request is answered",
			s.shutdownTimeout)
	}
	return nil
}

// warnings are settings that an operator may mean and should know of.
func (s settings) warnings() []string {
	var out []string
	if s.perMinute == 0 {
		out = append(out, "per-minute is 0: clients without a key have no limits")
	}
	if s.limitStoreURL != "" && s.secretFile == "" {
		out = append(out, "the limit store has no address-secret-file: "+
			"whoever reads the store, or a refusal in the log, can find a client's address by trying them all")
	}
	return out
}

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
