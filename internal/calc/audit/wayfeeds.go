package audit

import (
	"slices"

	"saltwright/internal/calc/plan"
)

// reaching is one way by which an alarm comes to somebody who answers.
type reaching struct {
	alarm  plan.Alarm
	way    string
	person plan.Person
}

func (w *writer) reachings() []reaching {
	var out []reaching
	for _, a := range w.p.Alarms {
		for _, way := range w.p.Ways(a) {
			for _, x := range w.p.Persons {
				if x.CountedOn() && slices.Contains(x.ReachedBy, way) {
					out = append(out, reaching{a, way, x})
				}
			}
		}
	}
	return out
}

func (w *writer) isMobile(way string) bool {
	return way == string(plan.CellularPath) ||
		slices.ContainsFunc(w.p.Modems, func(x plan.Modem) bool { return x.ID == way })
}

// wayFeed is what feeds a way, and how long it works without that; nil: it needs none.
func (w *writer) wayFeed(way string) (circuit *string, batteryH float64) {
	for _, x := range w.p.Routers {
		if x.ID == way {
			return x.Circuit, x.BatteryH
		}
	}
	for _, x := range w.p.Modems {
		if x.ID == way {
			return x.Circuit, x.BatteryH
		}
	}
	for _, x := range w.p.Sirens {
		if x.ID == way {
			return x.Circuit, x.BatteryH
		}
	}
	if way == string(plan.NetworkPath) {
		return w.p.Power.NetworkCircuit, 0
	}
	return nil, 0
}
