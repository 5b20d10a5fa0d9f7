package transport

import (
	"net/netip"

	"saltwright/internal/limit"
)

// networksOf names whom an address stands for: an IPv4 address for itself. Of IPv6, one link has the /64 and chooses
// in it as it likes; one customer may have the whole /48 around it, and so 65 536 links.
func networksOf(address string) (link, customer string) {
	a, err := netip.ParseAddr(address)
	if err != nil {
		return address, address
	}
	a = a.Unmap().WithZone("")
	if a.Is4() {
		return a.String(), a.String()
	}
	link64, _ := a.Prefix(64) // 48 and 64 fit every IPv6 address
	customer48, _ := a.Prefix(48)
	return link64.String(), customer48.String()
}

// customerFactor is how many times the quota of a link a customer's network has. Many households may share a /48, as
// they may share one IPv4 address, which has the quota once.
const customerFactor = 10

// customerQuotas are the wider quotas of the network around a link.
func customerQuotas(quotas []limit.Policy) []limit.Policy {
	wide := make([]limit.Policy, len(quotas))
	for i, p := range quotas {
		wide[i] = limit.Policy{Name: p.Name + "-network", Quota: customerFactor * p.Quota, Window: p.Window}
	}
	return wide
}
