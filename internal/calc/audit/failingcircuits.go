package audit

import (
	"slices"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// failingCircuits reports circuits that take down a part of the tank together with every alarm that would tell of it:
// the alarms themselves, or the router that they need.
func (w *writer) failingCircuits() {
	for _, circuit := range w.p.Power.Circuits {
		var devices, silent, cutOff []string
		for _, part := range w.fedBy(circuit.ID) {
			quiet, unreachable, told := w.watchers(circuit.ID, part.watched)
			if told || len(quiet)+len(unreachable) == 0 {
				continue
			}
			devices = append(devices, part.devices...)
			silent, cutOff = elementsOnce(append(silent, quiet...)...), elementsOnce(append(cutOff, unreachable...)...)
		}
		report := func(code string, alarms []string, answer *Change) {
			if len(alarms) == 0 {
				return
			}
			w.add(Finding{
				Code: code, Severity: Weak, Elements: elementsOnce(append([]string{circuit.ID}, alarms...)...),
				Message: text.Of(code,
					text.Params{"circuit": circuit.ID, "devices": elementsOnce(devices...), "alarms": alarms}),
				Answer: answer,
			})
		}
		if len(silent) > 0 {
			report("alarms_on_failing_circuit", silent, OwnBattery(silent[0]))
		}
		if len(cutOff) > 0 {
			report("router_on_failing_circuit", cutOff, w.routerElsewhere(circuit.ID, cutOff[0]))
		}
	}
}

// fedPart is what a circuit feeds of one function of the tank.
type fedPart struct {
	devices []string
	watched plan.When // the reading that shows that it stands still
}

// fedBy lists what stands still when a circuit trips, by function.
func (w *writer) fedBy(circuit string) []fedPart {
	var out []fedPart
	add := func(watched plan.When, id string, fed *string) {
		dead := fed != nil && *fed == circuit
		for _, k := range w.p.Controls { // a control without power opens its outputs
			dead = dead || *k.Circuit == circuit && k.Kind != plan.Supervisor && slices.Contains(k.Outputs, id)
		}
		if !dead {
			return
		}
		if i := slices.IndexFunc(out, func(p fedPart) bool { return p.watched == watched }); i >= 0 {
			out[i].devices = append(out[i].devices, id)
			return
		}
		out = append(out, fedPart{[]string{id}, watched})
	}
	for _, d := range w.p.Heaters {
		add(plan.Below, d.ID, d.Circuit)
	}
	for _, d := range w.p.Chillers {
		add(plan.Above, d.ID, d.Circuit)
	}
	for _, d := range w.p.Fans {
		add(plan.Above, d.ID, d.Circuit)
	}
	for _, d := range w.p.Pumps {
		if d.Role == plan.ReturnRole {
			add(plan.NoFlow, d.ID, d.Circuit)
		}
	}
	for _, d := range w.p.TopOffPumps {
		add(plan.Dry, d.ID, d.Circuit)
	}
	return out
}

// watchers sorts the alarms that would tell somebody far away that a function of the tank stands still, or that its
// circuit is dead: those fed by that circuit, those that its router serves, and whether any other is left.
func (w *writer) watchers(circuit string, watched plan.When) (silent, cutOff []string, told bool) {
	for _, a := range w.p.Alarms {
		x := w.heard(a)
		itself := a.When == plan.NoPower && *x.Circuit == circuit
		onTank := a.When == watched && x.Reservoir == nil
		switch {
		case w.onlyHeard(a) || !itself && !onTank:
		case !a.OwnBattery && *a.Circuit == circuit:
			if !itself { // that has a finding of its own
				silent = append(silent, a.ID)
			}
		case w.waysDieWith(a, circuit):
			cutOff = append(cutOff, a.ID)
		default:
			told = true
		}
	}
	return silent, cutOff, told
}

// onlyHeard tells whether an alarm is only heard in the house.
func (w *writer) onlyHeard(a plan.Alarm) bool {
	return !slices.ContainsFunc(w.p.Ways(a), func(way string) bool {
		return way != string(plan.AudiblePath) &&
			!slices.ContainsFunc(w.p.Sirens, func(x plan.Siren) bool { return x.ID == way })
	})
}

// waysDieWith tells whether every way of an alarm hangs on one circuit, without a battery.
func (w *writer) waysDieWith(a plan.Alarm, circuit string) bool {
	fed := map[string]*string{string(plan.NetworkPath): w.p.Power.NetworkCircuit}
	add := func(id string, on *string, batteryH float64) {
		if batteryH == 0 {
			fed[id] = on
		}
	}
	for _, x := range w.p.Routers {
		add(x.ID, x.Circuit, x.BatteryH)
	}
	for _, x := range w.p.Modems {
		add(x.ID, x.Circuit, x.BatteryH)
	}
	for _, x := range w.p.Sirens {
		add(x.ID, x.Circuit, x.BatteryH)
	}
	return !slices.ContainsFunc(w.p.Ways(a), func(way string) bool {
		return fed[way] == nil || !w.fails(*fed[way], circuit)
	})
}
