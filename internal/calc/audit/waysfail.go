package audit

import (
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
)

// How long the home network stays away, on the average; common practice, no source.
const networkOutageH = 2.0

// reaching adds the ways in which alarms do not come to anybody.
func (b *faultList) reaching() {
	if len(b.p.Routers) == 0 {
		n := len(b.list)
		b.add("network", "network", at(int(sim.Network)), nil)
		b.list[n].LastsH = networkOutageH
	}
	for i := int(sim.Cellular) + 1; i < len(b.s.Ways); i++ {
		w := b.s.Ways[i]
		sort := map[sim.Path]string{sim.Network: "router", sim.Cellular: "modem", sim.Audible: "siren"}[w.Kind]
		b.add(sort, w.ID, at(i), element(w.ID))
	}
	for _, r := range b.p.Routers {
		for i := range b.list {
			if f := &b.list[i]; f.ID == r.ID+".line_lost" {
				b.list[i].lasting(r)
			}
		}
	}
	for i, x := range b.p.Persons {
		b.add("person", x.ID, at(i), element(x.ID))
	}
}

// lasting gives the loss of a router's line what the plan says of it.
func (f *Fault) lasting(r plan.Router) {
	f.LastsH = networkOutageH
	if r.OutageH != nil {
		f.LastsH = *r.OutageH
	}
	if r.OutagesPerYear != nil {
		f.PerYear, f.Stated = *r.OutagesPerYear, true
	}
}
