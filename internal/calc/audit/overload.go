package audit

import (
	"slices"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

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
				Answer: w.lighter(id, *ratingA),
			})
		}
	}
	for _, c := range power.Circuits {
		overloaded(c.ID, c.BreakerA)
	}
	w.starts()
	for _, s := range power.Strips {
		overloaded(s.ID, s.RatingA)
		if slices.ContainsFunc(power.Strips, func(x plan.Strip) bool { return x.ID == s.Supply }) {
			w.add(Finding{
				Code: "strip_on_a_strip", Severity: Note, Elements: []string{s.ID, s.Supply},
				Message: text.Of("strip_on_a_strip", text.Params{"strip": s.ID, "supply": s.Supply}),
				Answer:  plugged("strip_supply", "remedy_strip_supply", s.ID, power.CircuitOf(s.Supply), s.Supply),
			})
		}
	}
	for _, x := range power.Backups {
		if x.Starts == plan.ByHand {
			w.add(Finding{
				Code: "backup_waits_for_a_hand", Severity: Weak, Elements: []string{x.ID},
				Message: text.Of("backup_waits_for_a_hand", text.Params{"backup": x.ID}),
				Answer:  w.byItself(x),
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
			Answer:  OwnBattery(w.p.Alarms[0].ID),
		})
	}
}
