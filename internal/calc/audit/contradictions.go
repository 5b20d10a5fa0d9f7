package audit

import (
	"cmp"
	"math"
	"slices"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// contradictions reports what a plan's own numbers say against each other: nothing has to be simulated to see it.
func (w *writer) contradictions() {
	w.overlaps()
	for _, k := range w.p.Controls {
		if k.Kind != plan.Supervisor {
			continue
		}
		if k.ThresholdC != nil {
			w.guard(k)
		}
		w.chemicalGuard(k)
	}
	for _, a := range w.p.Alarms {
		w.alarmBeyondHarm(a)
	}
	w.sharedProbes()
	w.dials()
	w.failingCircuits()
}

// workingBand is the water in which a device runs and rests, by its control and its own thermostat together.
type workingBand struct {
	device    string
	by        string // the control, or the device where its own thermostat decides
	low, high float64
}

// bandOf returns the band of a device that heats or cools; not ok where neither a control nor a thermostat gives it
// one.
// A device runs only while both let it: of two heating bands the lower one decides, of two cooling bands the higher.
func (w *writer) bandOf(device string, kind plan.ControlKind, thermostatC *float64, hysteresisK float64) (workingBand,
	bool) {
	outwards := 1.0 // of cooling
	if kind == plan.Heating {
		outwards = -1
	}
	out, found := workingBand{device: device}, false
	take := func(by string, setpointC, hysteresisK float64) {
		low, high := setpointC-hysteresisK/2, setpointC+hysteresisK/2
		if !found {
			out.by, out.low, out.high, found = by, low, high, true
			return
		}
		if outwards*(high-out.high) > 0 {
			out.by = by
		}
		out.low, out.high = outwards*math.Max(outwards*low, outwards*out.low),
			outwards*math.Max(outwards*high, outwards*out.high)
	}
	for _, k := range w.p.Controls {
		if k.Kind == kind && w.drives(k, device) {
			take(k.ID, *k.SetpointC, k.HysteresisK)
		}
	}
	if thermostatC != nil {
		take(device, *thermostatC, hysteresisK)
	}
	return out, found
}

func (w *writer) heating() []workingBand {
	var out []workingBand
	for _, h := range w.p.Heaters {
		if b, ok := w.bandOf(h.ID, plan.Heating, h.ThermostatC, h.ThermostatHysteresisK); ok {
			out = append(out, b)
		}
	}
	return out
}

func (w *writer) cooling() []workingBand {
	var out []workingBand
	for _, h := range w.p.Chillers {
		if b, ok := w.bandOf(h.ID, plan.Cooling, h.ThermostatC, h.ThermostatHysteresisK); ok {
			out = append(out, b)
		}
	}
	for _, f := range w.p.Fans {
		if b, ok := w.bandOf(f.ID, plan.Cooling, nil, 0); ok {
			out = append(out, b)
		}
	}
	return out
}

// overlaps reports, for whatever cools, the heating whose band reaches furthest into its own.
//
// Both run at once where the heating does not stop before the cooling starts, or the cooling not before the heating
// starts. Where the bands only overlap each stops before the other starts, as long as their probes agree.
func (w *writer) overlaps() {
	seen := map[string]bool{}
	heating := w.heating()
	for _, c := range w.cooling() {
		worst := -1
		for i, h := range heating {
			if h.high > c.low && (worst < 0 || h.high > heating[worst].high) {
				worst = i
			}
		}
		if worst < 0 || seen[c.by] {
			continue
		}
		seen[c.by] = true
		h := heating[worst]
		found := Finding{
			Code: "heats_against_cooling", Severity: Weak, Elements: elementsOnce(h.by, h.device, c.by, c.device),
			Answer: w.coolsLater(c, h.high),
		}
		switch params := (text.Params{"heating": h.by, "cooling": c.by, "heats": h.high, "cools": c.low}); {
		case h.high >= c.high:
			params["starts"] = c.high
			delete(params, "cools")
			found.Message = text.Of("heats_past_cooling", params)
		case h.low >= c.low:
			params["starts"] = h.low
			delete(params, "heats")
			found.Message = text.Of("cools_past_heating", params)
		default:
			found.Code, found.Severity = "bands_overlap", Note
			found.Message = text.Of("bands_overlap", params)
		}
		w.add(found)
	}
}

// guard reports a supervisor that cuts only beyond harm, or already where what it cuts does its work.
func (w *writer) guard(k plan.Control) {
	at, l := *k.ThresholdC, w.p.Limits
	late := func(limitC float64) {
		w.add(Finding{
			Code: "guard_beyond_harm", Severity: Weak, Elements: []string{k.ID},
			Message: text.Of("guard_beyond_harm", text.Params{"id": k.ID, "threshold": at, "limit": limitC}),
			Answer:  w.guardAt(k),
		})
	}
	early := func(b workingBand, reachesC float64) {
		w.add(Finding{
			Code: "guard_cuts_daily", Severity: Weak, Elements: elementsOnce(k.ID, b.by, b.device),
			Message: text.Of("guard_cuts_daily", text.Params{"id": k.ID, "threshold": at, "by": b.by,
				"reaches": reachesC}),
			Answer: w.guardAt(k),
		})
	}
	cuts := func(b workingBand) bool {
		return slices.Contains(k.Outputs, b.device) || slices.Contains(k.Outputs, b.by)
	}
	if *k.When == plan.Above {
		if at >= *l.HarmHighC {
			late(*l.HarmHighC)
		}
		list := w.heating()
		if i := slices.IndexFunc(list, func(b workingBand) bool { return cuts(b) && at <= b.high }); i >= 0 {
			early(list[i], list[i].high)
		}
		return
	}
	if at <= *l.HarmLowC {
		late(*l.HarmLowC)
	}
	list := w.cooling()
	if i := slices.IndexFunc(list, func(b workingBand) bool { return cuts(b) && at >= b.low }); i >= 0 {
		early(list[i], list[i].low)
	}
}

// alarmBeyondHarm reports an alarm that is raised only beyond harm, where no other is raised before it.
func (w *writer) alarmBeyondHarm(a plan.Alarm) {
	beyond, limit, code := w.beyondHarm(a)
	sooner := func(o plan.Alarm) bool {
		other, _, _ := w.beyondHarm(o)
		return o.When == a.When && !other && w.heard(o).Kind == w.heard(a).Kind &&
			w.heard(o).Reservoir == nil
	}
	if !beyond || slices.ContainsFunc(w.p.Alarms, sooner) {
		return
	}
	threshold := cmp.Or(a.ThresholdC, a.ThresholdPH, a.ThresholdPSU, w.heard(a).HeightMM)
	w.add(Finding{
		Code: "alarm_beyond_harm", Severity: Weak, Elements: []string{a.ID},
		Message: text.Of(code, text.Params{"alarm": a.ID, "threshold": *threshold, "limit": limit}),
		Answer:  w.soonerAlarm(a),
	})
}

// beyondHarm tells whether an alarm on a temperature or on the tank's level is raised only when harm's limit is passed,
// with that limit and the code that says so.
func (w *writer) beyondHarm(a plan.Alarm) (beyond bool, limit float64, code string) {
	l, x := w.p.Limits, w.heard(a)
	switch {
	case a.ThresholdPH != nil || a.ThresholdPSU != nil:
		return w.chemicalBeyondHarm(a.When, a.ThresholdPH, a.ThresholdPSU)
	case a.When == plan.Above:
		return *a.ThresholdC >= *l.HarmHighC, *l.HarmHighC, "alarm_beyond_heat"
	case a.When == plan.Below:
		return *a.ThresholdC <= *l.HarmLowC, *l.HarmLowC, "alarm_beyond_cold"
	case a.When == plan.Dry && x.HeightMM != nil:
		intake := -w.p.Display.IntakeDropMM
		if s := w.p.Sump; s != nil {
			intake = *s.ReturnIntakeMM - s.WaterLevelMM
		}
		return *x.HeightMM-x.HysteresisMM <= intake, intake, "alarm_beyond_intake"
	}
	return false, 0, ""
}

// sharedProbes reports controls that regulate by one sensor: those of one kind back each other up in name only, and
// cooling does not catch what heating does wrong by a probe that lies to both.
func (w *writer) sharedProbes() {
	for _, x := range w.p.Sensors {
		byKind := map[plan.ControlKind][]string{}
		for _, k := range w.p.Controls {
			if k.Sensor != nil && *k.Sensor == x.ID && k.Kind != plan.Supervisor {
				byKind[k.Kind] = append(byKind[k.Kind], k.ID)
			}
		}
		for _, kind := range []plan.ControlKind{plan.Heating, plan.Cooling, plan.TopOff} {
			if ids := byKind[kind]; len(ids) > 1 {
				w.add(Finding{
					Code: "controls_share_sensor", Severity: Weak, Elements: append(slices.Clone(ids), x.ID),
					Message: text.Of("controls_share_sensor", text.Params{"controls": ids, "sensor": x.ID}),
					Answer:  w.ownSensor(ids[1], x.ID),
				})
			}
		}
		if heats, cools := byKind[plan.Heating], byKind[plan.Cooling]; len(heats) > 0 && len(cools) > 0 {
			w.add(Finding{
				Code: "cooling_shares_sensor", Severity: Note, Elements: []string{heats[0], cools[0], x.ID},
				Message: text.Of("cooling_shares_sensor",
					text.Params{"heating": heats[0], "cooling": cools[0], "sensor": x.ID}),
				Answer: w.ownSensor(cools[0], x.ID),
			})
		}
	}
}

// dials reports thermostats behind a control that are turned past a harm limit, as far as they go: common practice, but
// they step in too late.
func (w *writer) dials() {
	dial := func(id string, thermostatC, limitC float64, code string) {
		i := slices.IndexFunc(w.p.Controls, func(k plan.Control) bool {
			return k.Kind != plan.Supervisor && slices.Contains(k.Outputs, id)
		})
		if i < 0 {
			return
		}
		control := w.p.Controls[i]
		w.add(Finding{
			Code: "dial_beyond_harm", Severity: Weak, Elements: []string{id, control.ID},
			Message: text.Of(code, text.Params{
				"id": id, "thermostat": thermostatC, "limit": limitC, "control": control.ID}),
			Answer: w.dialBehind(id, thermostatC, control, code == "chiller_dial_beyond_harm"),
		})
	}
	for _, h := range w.p.Heaters {
		if h.ThermostatC != nil && *h.ThermostatC >= *w.p.Limits.HarmHighC {
			dial(h.ID, *h.ThermostatC, *w.p.Limits.HarmHighC, "heater_dial_beyond_harm")
		}
	}
	for _, h := range w.p.Chillers {
		if h.ThermostatC != nil && *h.ThermostatC <= *w.p.Limits.HarmLowC {
			dial(h.ID, *h.ThermostatC, *w.p.Limits.HarmLowC, "chiller_dial_beyond_harm")
		}
	}
}

// soonerAlarm moves an alarm that is raised beyond harm only: a temperature to just outside of comfort, a level sensor
// up.
func (w *writer) soonerAlarm(a plan.Alarm) *Change {
	l := w.p.Limits
	switch a.When {
	case plan.Above:
		return SetThreshold("alarm_threshold", "remedy_alarm_threshold", a.ID, *a.ThresholdC,
			tenth(*l.ComfortHighC+clearOfBandK))
	case plan.Below:
		return SetThreshold("alarm_threshold", "remedy_alarm_threshold", a.ID, *a.ThresholdC,
			tenth(*l.ComfortLowC-clearOfBandK))
	}
	x := w.heard(a)
	_, intakeMM, _ := w.beyondHarm(a)
	to := math.Round(math.Max(-levelMarkMM, intakeMM/2))
	return &Change{"level_mark", text.Of("remedy_level_mark", text.Params{"id": x.ID, "to": -to}), func(p *plan.Plan) {
		for i := range p.Sensors {
			if p.Sensors[i].ID == x.ID {
				p.Sensors[i].HeightMM = &to
			}
		}
	}}
}

// coolsLater lets a device cool only above a band that heats.
func (w *writer) coolsLater(cooling workingBand, heatsTo float64) *Change {
	to := math.Ceil(10*(heatsTo+clearOfBandK+(cooling.high-cooling.low)/2)) / 10
	if to > *w.p.Limits.HarmHighC {
		return nil
	}
	return &Change{"cooling_setpoint", text.Of("remedy_cooling_setpoint", text.Params{"id": cooling.by, "to": to}),
		func(p *plan.Plan) {
			for i := range p.Controls {
				if x := &p.Controls[i]; x.ID == cooling.by {
					x.SetpointC = &to
				}
			}
			for i := range p.Chillers {
				if x := &p.Chillers[i]; x.ID == cooling.by || x.ID == cooling.device && x.ThermostatC != nil &&
					*x.ThermostatC > to {
					x.ThermostatC = &to
				}
			}
		}}
}
