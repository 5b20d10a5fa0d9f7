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

// fails tells whether a supply goes dead when another one does.
func (w *writer) fails(supply, with string) bool {
	return slices.Contains(w.p.Power.Above(supply), with)
}

// supply reports what hangs on the supply tree and should not.
func (w *writer) supply() {
	power := w.p.Power
	overloaded := func(id string, ratingA *float64) {
		if ratingA == nil {
			return
		}
		load := w.p.LoadW(id)
		if draws := load / *power.VoltageV; draws > *ratingA {
			w.add(Finding{
				Code: "supply_overloaded", Severity: Weak, Elements: []string{id},
				Message: text.Of("supply_overloaded", text.Params{
					"supply": id, "power": load, "current": draws, "rating": *ratingA}),
				Change: text.Of("change_supply_overloaded", text.Params{"supply": id}),
			})
		}
	}
	for _, c := range power.Circuits {
		overloaded(c.ID, c.BreakerA)
	}
	for _, s := range power.Strips {
		overloaded(s.ID, s.RatingA)
		if slices.ContainsFunc(power.Strips, func(x plan.Strip) bool { return x.ID == s.Supply }) {
			w.add(Finding{
				Code: "strip_on_a_strip", Severity: Note, Elements: []string{s.ID, s.Supply},
				Message: text.Of("strip_on_a_strip", text.Params{"strip": s.ID, "supply": s.Supply}),
				Change:  text.Of("change_strip_on_a_strip", text.Params{"strip": s.ID}),
			})
		}
	}
	for _, x := range power.Backups {
		if x.Starts == plan.ByHand {
			w.add(Finding{
				Code: "backup_waits_for_a_hand", Severity: Weak, Elements: []string{x.ID},
				Message: text.Of("backup_waits_for_a_hand", text.Params{"backup": x.ID}),
				Change:  text.Of("change_backup_by_itself", text.Params{"backup": x.ID}),
			})
		}
	}
	for _, d := range power.ResidualCurrentDevices {
		w.allBehind(d.ID)
	}
}

// allBehind reports a residual-current device behind which all heat, all alarms or all circuits hang.
func (w *writer) allBehind(device string) {
	behind := func(circuit *string) bool { return circuit != nil && w.fails(*circuit, device) }
	all := len(w.p.Alarms) > 0
	for _, a := range w.p.Alarms {
		all = all && !a.OwnBattery && behind(a.Circuit)
	}
	if all {
		w.add(Finding{
			Code: "alarms_behind_one_device", Severity: Weak, Elements: []string{device},
			Message: text.Of("alarms_behind_one_device", text.Params{"device": device}),
			Change:  text.Of("change_alarm_elsewhere", text.Params{"device": device}),
		})
	}
}
