package audit

import (
	"math"
	"slices"

	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// The values that answers set; all of them common practice, no source.
const (
	clearOfBandK   = 0.2  // between a band and what must stay outside of it
	standsClearK   = 0.3  // of an alarm from what the tank does by itself
	clearOfLineMM  = 20.0 // between water and the end of a line
	levelMarkMM    = 15.0 // of an alarm on low water below the normal line, where its intake leaves room
	calmPerHour    = 20.0 // starts that a relay stands for long
	lastsLongY     = 10.0 // years
	mostHysteresis = 1.5  // K
	leastStepK     = 0.4  // of a hysteresis that is widened
)

// CoverMM is how far under the lowest water a heater is hung, mm; common practice, no source.
const CoverMM = 15.0

// SetThreshold moves the temperature at which a supervisor cuts or an alarm is raised.
//
//	code, sentence  of the change; the sentence takes id, to and from
//	fromC, toC      °C
//
// Accuracy: exact. Errors: none. Source: [Derived].
func SetThreshold(code, sentence, id string, fromC, toC float64) *Change {
	return &Change{code, text.Of(sentence, text.Params{"id": id, "to": toC, "from": fromC}), func(p *plan.Plan) {
		for i := range p.Controls {
			if p.Controls[i].ID == id {
				p.Controls[i].ThresholdC = &toC
			}
		}
		for i := range p.Alarms {
			if p.Alarms[i].ID == id {
				p.Alarms[i].ThresholdC = &toC
			}
		}
	}}
}

// guardAt moves a supervisor on temperature to where a careful builder lets it cut, if that is not where it is.
func (w *writer) guardAt(k plan.Control) *Change {
	l := w.p.Limits
	to := l.CutC()
	if *k.When == plan.Below {
		to = tenth((*l.HarmLowC + *l.ComfortLowC) / 2)
	}
	return SetThreshold("guard_threshold", "remedy_guard_threshold", k.ID, *k.ThresholdC, to)
}

// quietAlarm moves an alarm on temperature out of what the tank does by itself; nil where harm leaves no room for that.
func (w *writer) quietAlarm(a plan.Alarm) *Change {
	if a.ThresholdC == nil {
		return nil
	}
	lowest, highest := math.Inf(1), math.Inf(-1)
	for _, rm := range w.rooms {
		lowest, highest = math.Min(lowest, rm.nominal.Extremes.TempMinC), math.Max(highest,
			rm.nominal.Extremes.TempMaxC)
	}
	to, l := math.Ceil(10*(highest+standsClearK))/10, w.p.Limits
	if a.When == plan.Below {
		to = math.Floor(10*(lowest-standsClearK)) / 10
	}
	if to >= *l.HarmHighC || to <= *l.HarmLowC {
		return nil
	}
	return SetThreshold("alarm_threshold", "remedy_alarm_threshold", a.ID, *a.ThresholdC, to)
}

// ownSensor gives a control or an alarm a sensor like the one that it shares.
func (w *writer) ownSensor(id, sensor string) *Change {
	return &Change{"own_sensor", text.Of("remedy_own_sensor", text.Params{"id": id}), func(p *plan.Plan) {
		i := slices.IndexFunc(p.Sensors, func(x plan.Sensor) bool { return x.ID == sensor })
		if i < 0 {
			return
		}
		own := p.Sensors[i]
		own.ID = plan.FreeID(*p, id+"-probe")
		p.Sensors = append(p.Sensors, own)
		instead := func(list []string) []string {
			list = slices.Clone(list)
			for k := range list {
				if list[k] == sensor {
					list[k] = own.ID
				}
			}
			return list
		}
		for k := range p.Controls {
			x := &p.Controls[k]
			if x.ID == id {
				x.Sensors = instead(x.Sensors)
				if x.Sensor != nil && *x.Sensor == sensor {
					x.Sensor = &own.ID
				}
			}
		}
		for k := range p.Alarms {
			x := &p.Alarms[k]
			if x.ID == id {
				x.Sensors = instead(x.Sensors)
				if x.Sensor == sensor {
					x.Sensor = own.ID
				}
			}
		}
	}}
}

// OwnBattery gives an alarm a battery of its own.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func OwnBattery(id string) *Change {
	return &Change{"alarm_battery", text.Of("remedy_alarm_battery", text.Params{"id": id}), func(p *plan.Plan) {
		for i := range p.Alarms {
			if p.Alarms[i].ID == id {
				p.Alarms[i].OwnBattery = true
			}
		}
	}}
}

// routerElsewhere feeds the router from another circuit, or, where there is none, gives an alarm a mobile path.
func (w *writer) routerElsewhere(circuit, alarm string) *Change {
	if to := w.p.Power.OtherCircuit(circuit); to != "" {
		return &Change{"router_circuit", text.Of("remedy_router_circuit", text.Params{"to": to}),
			func(p *plan.Plan) { p.Power.NetworkCircuit = &to }}
	}
	return &Change{"mobile_path", text.Of("remedy_mobile_path", text.Params{"id": alarm}), func(p *plan.Plan) {
		for i := range p.Alarms {
			if p.Alarms[i].ID == alarm {
				p.Alarms[i].Path = plan.CellularPath
			}
		}
	}}
}

// dialBehind turns a device's own thermostat to where it takes over when its control sticks.
func (w *writer) dialBehind(id string, fromC float64, control plan.Control, cools bool) *Change {
	by := heat.UsualBackstopK
	if cools {
		by = -by
	}
	to := tenth(w.p.Limits.MiddleC() + by)
	if control.SetpointC != nil {
		to = tenth(*control.SetpointC + by)
	}
	return &Change{"backstop", text.Of("remedy_dial", text.Params{"id": id, "to": to, "from": fromC}),
		func(p *plan.Plan) {
			for i := range p.Heaters {
				if p.Heaters[i].ID == id {
					p.Heaters[i].ThermostatC = &to
				}
			}
			for i := range p.Chillers {
				if p.Chillers[i].ID == id {
					p.Chillers[i].ThermostatC = &to
				}
			}
		}}
}

// wider widens the step between on and off of a control, or of a device's own thermostat, by a factor; nil: it has no
// such step.
func (w *writer) wider(id string, factor float64) *Change {
	var fromK float64
	for _, k := range w.p.Controls {
		if k.ID == id && (k.Kind == plan.Heating || k.Kind == plan.Cooling) {
			fromK = k.HysteresisK
		}
	}
	for _, h := range w.p.Heaters {
		if h.ID == id {
			fromK = h.ThermostatHysteresisK
		}
	}
	for _, h := range w.p.Chillers {
		if h.ID == id {
			fromK = h.ThermostatHysteresisK
		}
	}
	to := math.Min(mostHysteresis, math.Max(leastStepK, math.Ceil(10*factor*fromK)/10))
	if fromK == 0 || to <= fromK {
		return nil
	}
	return &Change{"hysteresis", text.Of("remedy_hysteresis", text.Params{"id": id, "to": to, "from": fromK}),
		func(p *plan.Plan) {
			for i := range p.Controls {
				if p.Controls[i].ID == id {
					p.Controls[i].HysteresisK = to
				}
			}
			for i := range p.Heaters {
				if p.Heaters[i].ID == id {
					p.Heaters[i].ThermostatHysteresisK = to
				}
			}
			for i := range p.Chillers {
				if p.Chillers[i].ID == id {
					p.Chillers[i].ThermostatHysteresisK = to
				}
			}
		}}
}

// switches returns the id of the control that switches a device by temperature, or the device where none does.
func (w *writer) switches(device string) string {
	for _, k := range w.p.Controls {
		if (k.Kind == plan.Heating || k.Kind == plan.Cooling) && w.drives(k, device) {
			return k.ID
		}
	}
	return device
}

// drives tells whether a control switches a device, by itself or through a contactor.
func (w *writer) drives(k plan.Control, device string) bool {
	return slices.Contains(k.Outputs, device) || slices.ContainsFunc(w.p.Contactors, func(c plan.Contactor) bool {
		return slices.Contains(k.Outputs, c.ID) && slices.Contains(c.Outputs, device)
	})
}

// plugged feeds an element from another supply.
func plugged(code, sentence, id, to, from string) *Change {
	return &Change{code, text.Of(sentence, text.Params{"id": id, "to": to, "from": from}),
		func(p *plan.Plan) { p.Plug(id, to) }}
}

// unboxed takes what watches over the tank out of a box, with sensors and, where there is one, a circuit of its own.
func (w *writer) unboxed(x plan.Box, guards []string) *Change {
	other := ""
	if x.Circuit != nil {
		other = w.p.Power.OtherCircuit(*x.Circuit)
	}
	reads := map[string][]string{}
	for _, k := range w.p.Controls {
		reads[k.ID] = k.Reads()
	}
	for _, a := range w.p.Alarms {
		reads[a.ID] = a.Reads()
	}
	return &Change{"own_box", text.Of("remedy_own_box", text.Params{"box": x.ID, "guards": guards}),
		func(p *plan.Plan) {
			for i := range p.Boxes {
				if p.Boxes[i].ID == x.ID {
					p.Boxes[i].Holds = slices.DeleteFunc(slices.Clone(p.Boxes[i].Holds),
						func(id string) bool { return slices.Contains(guards, id) })
				}
			}
			for _, id := range guards {
				for _, sensor := range reads[id] {
					if slices.Contains(x.Holds, sensor) {
						w.ownSensor(id, sensor).Edit(p)
					}
				}
				if other != "" {
					p.Plug(id, other)
				}
			}
		}}
}

// lineEndsAbove ends a reservoir's line above the water.
func lineEndsAbove(id string) *Change {
	return &Change{"line_end", text.Of("remedy_line_end", text.Params{"id": id, "above": clearOfLineMM}),
		func(p *plan.Plan) {
			for i := range p.Reservoirs {
				if p.Reservoirs[i].ID == id {
					p.Reservoirs[i].LineEndAboveWaterMM = new(clearOfLineMM)
				}
			}
		}}
}

// SiphonBreak lets air into a reservoir's line.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func SiphonBreak(id string) *Change {
	return &Change{"siphon_break", text.Of("remedy_siphon_break", text.Params{"id": id}), func(p *plan.Plan) {
		for i := range p.Reservoirs {
			if p.Reservoirs[i].ID == id {
				p.Reservoirs[i].SiphonBreak = true
			}
		}
	}}
}

// LowerHeater hangs a heater lower.
//
//	heightMM  of it above the water line, mm; below 0
//
// Accuracy: exact. Errors: none. Source: [Derived].
func LowerHeater(id string, heightMM float64) *Change {
	return &Change{"lower_heater", text.Of("remedy_lower_heater", text.Params{"id": id, "depth": -heightMM}),
		func(p *plan.Plan) {
			for i := range p.Heaters {
				if p.Heaters[i].ID == id {
					p.Heaters[i].HeightMM = &heightMM
				}
			}
		}}
}

// CupStop lets a full cup stop its skimmer.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func CupStop(id string) *Change {
	return &Change{"cup_stop", text.Of("remedy_cup_stop", text.Params{"id": id}), func(p *plan.Plan) {
		for i := range p.Skimmers {
			if p.Skimmers[i].ID == id {
				p.Skimmers[i].FullCup = plan.CupStops
			}
		}
	}}
}

// groundFault puts each of some circuits behind a residual-current device of its own.
func groundFault(circuits []string) *Change {
	return &Change{"ground_fault", text.Of("change_ground_fault", text.Params{"circuits": circuits}),
		func(p *plan.Plan) {
			for i := range p.Power.Circuits {
				x := &p.Power.Circuits[i]
				if !slices.Contains(circuits, x.ID) {
					continue
				}
				device := plan.ResidualCurrentDevice{ID: plan.FreeID(*p, "rcd-"+x.ID)}
				p.Power.ResidualCurrentDevices = append(p.Power.ResidualCurrentDevices, device)
				x.ResidualCurrentDevice = &device.ID
			}
		}}
}

// byItself adds a battery that carries what a backup carries that waits for a hand.
func (w *writer) byItself(x plan.Backup) *Change {
	hours := w.p.Power.LongestOutageH
	return &Change{"battery", text.Of("remedy_battery_by_itself", text.Params{"id": x.ID, "time": hours}),
		func(p *plan.Plan) {
			p.Power.Backups = append(p.Power.Backups, plan.Backup{
				ID: plan.FreeID(*p, x.ID+"-battery"), Kind: plan.Battery, Supplies: slices.Clone(x.Supplies),
				Hours: &hours, Starts: plan.ByItself,
			})
		}}
}

// lighter moves from an overloaded supply, to a circuit that can carry it, the smallest load that is enough; nil where
// no circuit can.
func (w *writer) lighter(id string, ratingA float64) *Change {
	power := w.p.Power
	to := power.OtherCircuit(id)
	i := slices.IndexFunc(power.Circuits, func(c plan.Circuit) bool { return c.ID == to })
	if i < 0 {
		return nil
	}
	spare := math.Inf(1)
	if rating := power.Circuits[i].BreakerA; rating != nil {
		spare = *rating**power.VoltageV - w.p.LoadW(to)
	}
	tooMuch := w.p.LoadW(id) - ratingA**power.VoltageV
	best, bestW := "", math.Inf(1)
	for _, x := range w.p.Loads() {
		if slices.Contains(power.Above(x.Supply), id) && x.PowerW >= tooMuch && x.PowerW <= spare && x.PowerW < bestW {
			best, bestW = x.ID, x.PowerW
		}
	}
	if best == "" {
		return nil
	}
	return plugged("other_circuit", "remedy_other_circuit", best, to, id)
}

func tenth(x float64) float64 { return math.Round(10*x) / 10 }
