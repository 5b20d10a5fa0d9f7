package audit

import (
	"slices"
	"strings"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
	"saltwright/internal/calc/text"
)

// Shares of the failures of a part that take all of its group; failure_rates.csv, common practice, no source.
const (
	betaEqual  = 0.1  // equal parts in one place, bought together
	betaUnlike = 0.03 // unlike parts, or parts elsewhere, that do the same job
)

// commonCauses returns the faults in which several parts fail at once from one cause: equal parts in one place, and
// all that do the same job.
func commonCauses(p plan.Plan, s *sim.System, faults []Fault) []Fault {
	g := grouping{p: p, s: s}
	equal, job := newGroups(), newGroups()
	for i, f := range faults {
		what, where := g.job(f), g.place(f)
		if what == "" {
			continue
		}
		job.add(what, i)
		equal.add("equal."+f.likeness+"."+what+"."+where, i)
	}
	var out []Fault
	for _, key := range equal.order {
		if list := equal.members[key]; len(list) > 1 {
			out = append(out, together(faults, list, betaEqual))
		}
	}
	for _, key := range job.order {
		list := job.members[key]
		same := func(c Fault) bool { return len(c.Members) == len(list) && c.Members[0] == faults[list[0]].ID }
		if len(list) > 1 && !slices.ContainsFunc(out, same) {
			out = append(out, together(faults, list, betaUnlike))
		}
	}
	return out
}

// together is the fault in which all of some come at once.
func together(faults []Fault, list []int, beta float64) Fault {
	first := faults[list[0]]
	f := Fault{
		ID: "common." + first.ID, Kind: "common_cause", Mode: first.Mode, Beta: beta, Basis: "NUREGCR4780",
	}
	if beta == betaUnlike {
		f.ID += ".and-unlike"
	}
	var said []text.Text
	for _, i := range list {
		one := faults[i]
		f.Members, f.noticed = append(f.Members, one.ID), f.noticed || one.noticed
		f.injections = append(f.injections, one.injections...)
		said = append(said, one.Sentence)
		for _, id := range one.elements {
			if !slices.Contains(f.elements, id) {
				f.elements = append(f.elements, id)
			}
		}
	}
	f.Sentence = text.Of("fault_common_cause", text.Params{"faults": said})
	return f
}

// groups gathers faults by a key, in the order in which the keys came.
type groups struct {
	order   []string
	members map[string][]int
}

func newGroups() *groups { return &groups{members: map[string][]int{}} }

func (g *groups) add(key string, fault int) {
	if g.members[key] == nil {
		g.order = append(g.order, key)
	}
	g.members[key] = append(g.members[key], fault)
}

// grouping tells what parts do and where they are.
type grouping struct {
	p plan.Plan
	s *sim.System
}

// job says what else would have to fail with a fault for its purpose to be lost: like faults, and of contacts and
// controls those that hold back the same sort of device. Empty: it stands alone.
func (g grouping) job(f Fault) string {
	in := f.injections[0]
	switch in.Fault {
	case sim.MainsLost, sim.WayDead:
		return ""
	case sim.ThermostatClosed:
		return "contacts closed onto " + kinds[g.s.Devices[in.Index].Kind]
	case sim.RelayClosed, sim.RelayOpen:
		switched := g.switched(g.s.Relays[in.Index])
		if in.Fault == sim.RelayOpen {
			return "contacts open onto " + switched
		}
		return "contacts closed onto " + switched
	case sim.ControlOn, sim.ControlOff:
		onto := ""
		for _, r := range g.s.Relays {
			if r.Control == in.Index {
				onto = g.switched(r)
			}
		}
		does := map[sim.Fault]string{sim.ControlOn: "on", sim.ControlOff: "off"}
		return "controls " + does[in.Fault] + " onto " + onto
	}
	if f.Kind == "pump" {
		return "pumps"
	}
	return f.likeness
}

// kinds name what is switched.
var kinds = map[sim.DeviceKind]string{
	sim.Heater: "heater", sim.Chiller: "chiller", sim.Fan: "fan", sim.ReturnPump: "pump", sim.CirculationPump: "pump",
	sim.TopOffPump: "top-off pump", sim.Light: "light", sim.Skimmer: "skimmer",
}

// switched names what a relay switches in the end.
func (g grouping) switched(r sim.Relay) string {
	for range g.s.Controls { // controls form no loop
		if r.Device >= 0 {
			return kinds[g.s.Devices[r.Device].Kind]
		}
		k := slices.IndexFunc(g.s.Relays, func(x sim.Relay) bool { return x.Control == r.Target })
		if k < 0 {
			break
		}
		r = g.s.Relays[k]
	}
	return "nothing"
}

// place is where a part hangs, as far as the plan says.
func (g grouping) place(f Fault) string {
	of := func(place *plan.Place) string {
		if place == nil {
			return ""
		}
		return string(*place)
	}
	for _, h := range g.p.Heaters {
		if h.ID == f.Element {
			return of(h.Place)
		}
	}
	for _, c := range g.p.Chillers {
		if c.ID == f.Element {
			return of(c.Place)
		}
	}
	for _, x := range g.p.Sensors {
		if x.ID == f.Element {
			return of(x.Place)
		}
	}
	for _, a := range g.p.Alarms {
		if a.ID == f.Element {
			return strings.Join(g.p.Ways(a), " ")
		}
	}
	for _, x := range g.p.Persons {
		if x.ID == f.Element {
			return strings.Join(x.ReachedBy, " ")
		}
	}
	return ""
}
