package audit

import (
	"cmp"
	"slices"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
	"saltwright/internal/calc/text"
)

// circuits adds the ways in which the supply tree fails.
func (b *faultList) circuits() {
	w := b.p.Power
	strips, devices := map[string]bool{}, map[string]bool{}
	for _, x := range w.Strips {
		strips[x.ID] = true
	}
	for _, x := range w.ResidualCurrentDevices {
		devices[x.ID] = true
	}
	for i, c := range b.s.Circuits {
		switch {
		case strips[c.ID]:
			b.add("strip", c.ID, at(i), element(c.ID))
		case devices[c.ID]:
			b.add("residual-current device", c.ID, at(i), element(c.ID))
		default:
			b.add("circuit", c.ID, at(i), element(c.ID))
			if _, atOnce := tripsAtReturn(b.p, c.ID); atOnce > 0 {
				b.add("circuit that trips at return", c.ID, at(i), element(c.ID))
			}
			if b.described(i) {
				b.add("electronics", c.ID, at(i), element(c.ID))
			}
		}
	}
	sorts := map[plan.BackupKind]string{plan.Battery: "battery", plan.Generator: "generator"}
	for i, x := range w.Backups {
		if x.Starts != plan.ByHand { // one that waits for a hand carries nothing anyway
			b.add(sorts[x.Kind], x.ID, at(i), element(x.ID))
		}
	}
}

// described tells whether the plan says more of a circuit than what hangs on it: a breaker, a residual-current device
// before it or a strip on it.
func (b *faultList) described(circuit int) bool {
	w := b.p.Power
	id := b.s.Circuits[circuit].ID
	i := slices.IndexFunc(w.Circuits, func(x plan.Circuit) bool { return x.ID == id })
	return i >= 0 && (w.Circuits[i].BreakerA != nil || w.Circuits[i].ResidualCurrentDevice != nil ||
		slices.ContainsFunc(w.Strips, func(x plan.Strip) bool { return x.Supply == id }))
}

// protection returns the residual-current device that a circuit lies behind, by its number; -1: none.
func (b *faultList) protection(circuit int) int {
	id := b.p.Power.Behind(b.s.Circuits[circuit].ID)
	return slices.IndexFunc(b.s.Circuits, func(c sim.Circuit) bool { return c.ID == id })
}

// wet adds what a device in the water does when mains blink, and to the residual-current device before it when its seal
// lets water in.
func (b *faultList) wet(i int, d sim.Device) {
	sorts := map[sim.DeviceKind]string{
		sim.Heater: "wet heater", sim.Chiller: "wet chiller", sim.ReturnPump: "wet pump",
		sim.CirculationPump: "wet pump", sim.TopOffPump: "wet top-off pump",
		sim.Skimmer: "wet skimmer",
	}
	if d.StaysOff {
		stays := map[sim.DeviceKind]string{sim.TopOffPump: "top-off pump that stays off"}
		b.add(cmp.Or(stays[d.Kind], "pump that stays off"), d.ID, at(i), element(d.ID))
	}
	opens := b.protection(d.Circuit)
	if sorts[d.Kind] == "" || opens < 0 {
		return
	}
	b.add(sorts[d.Kind], d.ID, at(opens), text.Params{"element": d.ID, "device": b.s.Circuits[opens].ID})
}
