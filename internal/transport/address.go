package transport

import (
	"net/netip"
	"strings"

	"github.com/labstack/echo/v4"

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

// addressed sets whom a visitor without a key is counted as, and returns the name of the network it comes from.
func (g *gate) addressed(v *visitor, address string) (network string) {
	link, customer := networksOf(address)
	v.client = "address:" + g.names.Of(link)
	if link == customer {
		v.policies = g.quotas
		return v.client
	}
	network = "network:" + g.names.Of(customer)
	v.policies = append(make([]limit.Policy, 0, 2*len(g.quotas)), g.quotas...)
	for _, p := range g.wide {
		p.Client = network
		v.policies = append(v.policies, p)
	}
	return network
}

// noticeProxy says once that a proxy seems to stand before this service which nobody has told it to believe:
// everybody behind it has one quota together. The neighbour is a private one, since any stranger can send this
// field.
func (g *gate) noticeProxy(c echo.Context) {
	if g.proxied || c.Request().Header.Get(echo.HeaderXForwardedFor) == "" {
		return
	}
	neighbour, err := netip.ParseAddrPort(c.Request().RemoteAddr)
	if at := neighbour.Addr().Unmap(); err != nil || !at.IsPrivate() && !at.IsLoopback() {
		return
	}
	g.oneProxy.Do(func() {
		g.log.Warn(strings.Join([]string{
			"X-Forwarded-For came from a private network, but trusted-proxies is empty:",
			"if that is a proxy of yours, all its visitors are counted as one",
		}, " "))
	})
}
