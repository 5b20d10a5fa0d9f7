package audit

import (
	"slices"
	"sort"

	"saltwright/internal/calc/carbonate"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/sim"
	"saltwright/internal/calc/text"
)

// chatterPerHour is more starts an hour than a relay stands for long; common practice, no source.
const chatterPerHour = 60.0

// findings turns a report into findings, worst first.
func findings(r Report, rooms []room) []Finding {
	w := writer{p: r.Plan, rooms: rooms}
	w.nominal(r)
	w.unsound(r)
	w.thin(r)
	w.tooSlow(r)
	w.worn(r)
	w.standing()
	w.commonCauses()
	w.contradictions()
	w.sharedBoxes()
	w.siphons()
	w.heaters()
	w.skimmers()
	w.containers(r.Containers)
	w.supply()
	w.reach()
	w.hidden(r)
	w.people()
	return w.list
}

// nominal reports what goes wrong with nothing broken.
func (w *writer) nominal(r Report) {
	for _, n := range r.Nominal {
		for _, c := range n.Crossings {
			at, code, severity := c.ComfortH, "nominal_discomfort", Weak
			switch {
			case c.LossH != nil:
				at, code, severity = c.LossH, "nominal_loss", Fatal
			case c.HarmH != nil && Damages(c.Loss):
				at, code, severity = c.HarmH, "nominal_damage", Fatal
			case c.HarmH != nil:
				at, code, severity = c.HarmH, "nominal_harm", Fatal
			}
			w.add(Finding{
				Code: "nominal_" + c.Loss, Severity: severity,
				Message: text.Of(code, text.Params{
					"time": *at, "room": string(n.Room), "temperature": n.TempC, "how": how(c.Loss, n.Extremes)}),
			})
		}
		if n.Truncated {
			w.add(Finding{Code: switchingWithoutEnd, Severity: Fatal,
				Message: text.Of("nominal_switches_without_end", text.Params{"room": string(n.Room)})})
			continue
		}
		for _, d := range n.Devices {
			if d.StartsPerDay > chatterPerHour*quantity.HoursPerDay {
				w.add(Finding{Code: "chattering", Severity: Weak, Elements: []string{d.ID},
					Message: text.Of("chattering", text.Params{
						"element": d.ID, "starts": d.StartsPerDay / quantity.HoursPerDay, "room": string(n.Room)}),
					Answer: w.wider(w.switches(d.ID), d.StartsPerDay/quantity.HoursPerDay/calmPerHour)})
			}
		}
	}
}

// unsound groups the lost and harmed faults by the device behind them and the kind of harm or loss. What comes with
// nothing broken, too, has been reported.
func (w *writer) unsound(r Report) {
	type key struct {
		verdict       Verdict
		loss, element string
	}
	var order []key
	group := map[key][]FaultReport{}
	for _, f := range r.Faults {
		if f.Verdict.Sound() || f.Anyway() {
			continue
		}
		k := key{f.Verdict, f.Ends(), w.subject(f)}
		if group[k] == nil {
			order = append(order, k)
		}
		group[k] = append(group[k], f)
	}
	sort.SliceStable(order, func(i, j int) bool { return order[i].verdict.rank() > order[j].verdict.rank() })
	for _, k := range order {
		list := group[k]
		fastest := list[0]
		ids := []string{}
		for _, f := range list {
			ids = append(ids, f.Fault.ID)
			if at := f.EndsH(); at != nil && (fastest.EndsH() == nil || sooner(*at, *fastest.EndsH())) {
				fastest = f
			}
		}
		w.add(Finding{
			Code: fastest.endCode() + "_" + orElse(k.loss, switchingWithoutEnd), Severity: Fatal, Faults: ids,
			Elements: []string{k.element},
			Message:  lossSentence(fastest, len(list)-1),
		})
	}
}

// endCode is what a verdict that is not sound is called in a code.
func (f *FaultReport) endCode() string {
	switch {
	case f.Verdict == Lost:
		return "lost"
	case Damages(f.Ends()):
		return "damage"
	}
	return "harmed"
}

func orElse(s, other string) string {
	if s == "" {
		return other
	}
	return s
}

// subject names what a fault acts through: an output's device, the circuit that a short trips, a control's first
// output, or the element itself.
func (w *writer) subject(f FaultReport) string {
	if f.Fault.Output != "" {
		return f.Fault.Output
	}
	if in := f.Fault.injections; len(in) == 1 && in[0].Fault == sim.CircuitLost { // a short trips what feeds it
		return w.rooms[0].system.Circuits[in[0].Index].ID
	}
	for _, k := range w.p.Controls {
		reads := slices.Contains(k.Reads(), f.Fault.Element) && k.Kind != plan.Supervisor
		if (k.ID == f.Fault.Element || reads) && len(k.Outputs) > 0 {
			return k.Outputs[0]
		}
	}
	for _, k := range w.p.Contactors {
		if k.ID == f.Fault.Element && len(k.Outputs) > 0 {
			return k.Outputs[0]
		}
	}
	return f.Fault.Element
}

func lossSentence(f FaultReport, more int) text.Text {
	return text.Sentences(f.End(), spreadSentence(f), alarmSentence(f), others("others_end_the_same", more))
}

// End says how a fault with a verdict that is not sound ends.
//
// Errors: none. Source: [Derived].
func (f *FaultReport) End() text.Text {
	if f.EndsH() == nil {
		return text.Of("fault_switches_without_end", text.Params{"fault": f.Fault.Sentence})
	}
	code := map[string]string{"lost": "fault_loses", "damage": "fault_damages", "harmed": "fault_harms"}[f.endCode()]
	return text.Of(code, text.Params{"fault": f.Fault.Sentence, "time": *f.EndsH(), "room": string(f.Room),
		"how": how(f.Ends(), f.Extremes)})
}

// spreadSentence says when want of oxygen does harm with more and with less demand than assumed.
func spreadSentence(f FaultReport) text.Text {
	o := f.Oxygen
	if f.Ends() != "airless" || o == nil {
		return text.Text{}
	}
	params := text.Params{"soonest": *o.MostH, "most": o.MostMgLH, "least": o.LeastMgLH}
	if o.LeastH == nil {
		return text.Of("oxygen_spread_or_never", params)
	}
	params["latest"] = *o.LeastH
	return text.Of("oxygen_spread", params)
}

// alarmSentence says why no alarm brings help in time: the reason that is nearest to help.
func alarmSentence(f FaultReport) text.Text {
	if len(f.NoHelp) == 0 {
		return text.Text{}
	}
	return f.NoHelp[0].Sentence()
}

// how says what happens to the tank, by the peaks of the run.
func how(loss string, e Extremes) text.Text {
	peak := func(code, name string, value float64) text.Text { return text.Of(code, text.Params{name: value}) }
	switch loss {
	case "overheated":
		return peak("how_overheated", "peak", e.TempMaxC)
	case "chilled":
		return peak("how_chilled", "peak", e.TempMinC)
	case "diluted":
		return peak("how_diluted", "peak", e.SalinityMin)
	case "concentrated":
		return peak("how_concentrated", "peak", e.SalinityMax)
	case "flooded":
		return peak("how_flooded", "spilled", e.SpilledL)
	case "run_dry":
		return peak("how_run_dry", "fall", -e.LevelMinMM)
	case "airless":
		if e.OxygenMinMgL <= 0 {
			return text.Of("how_out_of_oxygen", nil)
		}
		return peak("how_airless", "least", e.OxygenMinMgL)
	case "sump_hot":
		return peak("how_sump_hot", "peak", e.SumpMaxC)
	case "temperature_shock":
		return peak("how_temperature_shock", "change", e.TempChangeK)
	case "salinity_shock":
		return peak("how_salinity_shock", "change", e.SalinityChange)
	case "alkalinity_low":
		return peak("how_alkalinity_low", "peak", e.Dissolved.AlkalinityMin*carbonate.DKHPerMeqL)
	case "alkalinity_high":
		return peak("how_alkalinity_high", "peak", e.Dissolved.AlkalinityMax*carbonate.DKHPerMeqL)
	case "ph_low":
		if e.Dissolved.PHMin <= carbonate.LowestPH {
			return peak("how_ph_below_all", "peak", carbonate.LowestPH)
		}
		return peak("how_ph_low", "peak", e.Dissolved.PHMin)
	case "ph_high":
		if e.Dissolved.PHMax >= carbonate.HighestPH {
			return peak("how_ph_above_all", "peak", carbonate.HighestPH)
		}
		return peak("how_ph_high", "peak", e.Dissolved.PHMax)
	case "dissolving":
		return peak("how_dissolving", "peak", e.Dissolved.AragoniteMin)
	case "falling_out":
		return peak("how_falling_out", "peak", e.Dissolved.AragoniteMax)
	case "magnesium_low":
		return peak("how_magnesium_low", "peak", e.Dissolved.MagnesiumMin*carbonate.Magnesium)
	case "magnesium_high":
		return peak("how_magnesium_high", "peak", e.Dissolved.MagnesiumMax*carbonate.Magnesium)
	case "no_dark":
		return text.Of("how_no_dark", nil)
	case "heater_dry":
		return text.Of("how_heater_dry", nil)
	}
	return text.Of("how_no_light", nil)
}

// thin reports, by alarm, the rescues that leave little time.
func (w *writer) thin(r Report) {
	var order []string
	group := map[string][]FaultReport{}
	for _, f := range r.Faults {
		if f.Thin() {
			if group[f.Alarm.ID] == nil {
				order = append(order, f.Alarm.ID)
			}
			group[f.Alarm.ID] = append(group[f.Alarm.ID], f)
		}
	}
	for _, alarm := range order {
		list := group[alarm]
		tightest, ids := list[0], []string{}
		for _, f := range list {
			ids = append(ids, f.Fault.ID)
			if sooner(*f.MarginH, *tightest.MarginH) {
				tightest = f
			}
		}
		w.add(Finding{
			Code: "thin_rescue", Severity: Weak, Faults: ids, Elements: []string{alarm},
			Message: text.Sentences(
				text.Of("thin_rescue", text.Params{
					"fault": tightest.Fault.Sentence, "alarm": alarm, "spare": *tightest.MarginH}),
				others("others_as_close", len(list)-1)),
		})
	}
}

// others says how many more faults do the same; nothing for none.
func others(code string, n int) text.Text {
	if n == 0 {
		return text.Text{}
	}
	return text.Of(code, text.Params{"count": n})
}

// standing reports alarms that are raised with nothing broken.
func (w *writer) standing() {
	for i, a := range w.p.Alarms {
		var rooms []text.Text
		for _, rm := range w.rooms {
			if rm.raisedS[i] != sim.Never {
				rooms = append(rooms, text.Of("room_named", text.Params{"room": string(rm.name)}))
			}
		}
		if len(rooms) > 0 {
			w.add(Finding{
				Code: "standing_alarm", Severity: Weak, Elements: []string{a.ID},
				Message: text.Of("standing_alarm", text.Params{"alarm": a.ID, "rooms": rooms}),
				Answer:  w.quietAlarm(a),
			})
		}
	}
}

// commonCauses reports protections that share the sensor or the circuit of what they protect.
func (w *writer) commonCauses() {
	regulated := map[string]string{} // sensor -> control that regulates by it
	for _, k := range w.p.Controls {
		for _, id := range k.Reads() {
			if k.Kind != plan.Supervisor {
				regulated[id] = k.ID
			}
		}
	}
	shared := func(id string, sensors []string, code string) {
		if len(sensors) != 1 { // one of several is not all that it has
			return
		}
		sensor := sensors[0]
		if control, ok := regulated[sensor]; ok {
			w.add(Finding{
				Code: "shared_sensor", Severity: Weak, Elements: []string{id, control, sensor},
				Message: text.Of(code, text.Params{"id": id, "sensor": sensor, "control": control}),
				Answer:  w.ownSensor(id, sensor),
			})
		}
	}
	for _, k := range w.p.Controls {
		if k.Kind == plan.Supervisor {
			shared(k.ID, k.Reads(), "supervisor_shares_sensor")
		}
	}
	for _, a := range w.p.Alarms {
		shared(a.ID, a.Reads(), "alarm_shares_sensor")
		if a.OwnBattery {
			continue
		}
		for _, x := range w.p.Sensors {
			if slices.Contains(a.Reads(), x.ID) && x.Kind == plan.PowerKind && w.fails(*a.Circuit, *x.Circuit) {
				w.add(Finding{
					Code: "alarm_on_watched_circuit", Severity: Weak, Elements: []string{a.ID, *x.Circuit},
					Message: text.Of("alarm_on_watched_circuit", text.Params{"id": a.ID, "circuit": *x.Circuit}),
					Answer:  OwnBattery(a.ID),
				})
			}
		}
	}
}

// siphons reports reservoirs whose line lets water run by itself.
func (w *writer) siphons() {
	for _, r := range w.p.Reservoirs {
		head := r.FullMM() - *r.LineEndAboveWaterMM
		switch {
		case r.SiphonBreak:
		case head > 0:
			w.add(Finding{
				Code: "reservoir_siphons", Severity: Weak, Elements: []string{r.ID},
				Message: text.Of("reservoir_siphons", text.Params{"reservoir": r.ID, "above": head}),
				Answer:  SiphonBreak(r.ID),
			})
		case *r.LineEndAboveWaterMM < 0 && !r.CheckValve:
			w.add(Finding{
				Code: "line_runs_back", Severity: Weak, Elements: []string{r.ID},
				Message: text.Of("line_runs_back",
					text.Params{"reservoir": r.ID, "under": -*r.LineEndAboveWaterMM}),
				Answer: lineEndsAbove(r.ID),
			})
		}
	}
}

// weather says what the rooms leave out.
func (w *writer) weather() {
	r := w.p.Room
	var out []text.Text
	if !r.ColdestWithoutHeating && !w.p.HeatsRoom() {
		out = append(out, text.Of("no_heating_left_out", text.Params{"coldest": r.Coldest.TempC}))
	}
	if !r.WarmestInHeatWave {
		out = append(out, text.Of("heat_wave_left_out", text.Params{"warmest": r.Warmest.TempC}))
	}
	if len(out) > 0 {
		w.add(Finding{
			Code: "weather_left_out", Severity: Note, Message: text.Sentences(out...),
			Change: text.Of("change_untried", text.Params{"change": text.Of("change_weather", nil)}),
		})
	}
}

// hidden reports, in one finding, the faults that wait unseen for a second one.
func (w *writer) hidden(r Report) {
	var ids, elements []string
	tested := map[string]bool{}
	for _, t := range w.p.ProofTests {
		tested[t.Element] = true
	}
	for _, f := range r.Faults {
		if f.Hidden && !tested[f.Fault.Element] {
			ids = append(ids, f.Fault.ID)
			if !slices.Contains(elements, f.Fault.Element) {
				elements = append(elements, f.Fault.Element)
			}
		}
	}
	if len(ids) == 0 {
		return
	}
	w.add(Finding{
		Code: "hidden_faults", Severity: Note, Faults: ids, Elements: elements,
		Message: text.Of("hidden_faults", text.Params{"count": len(ids)}),
		Change:  text.Of("change_test_monthly", text.Params{"elements": elements}),
	})
}

// people reports what endangers people rather than the tank.
func (w *writer) people() {
	var open []string
	for _, c := range w.p.Power.Circuits {
		if !c.GroundFault {
			open = append(open, c.ID)
		}
	}
	if len(open) > 0 {
		answer := groundFault(open)
		w.add(Finding{
			Code: "no_ground_fault_protection", Severity: Note, Elements: open,
			Message: text.Of("no_ground_fault_protection", text.Params{"circuits": open}),
			Change:  text.Of("change_untried", text.Params{"change": answer.Sentence}), Answer: answer,
		})
	}
	w.weather()
	if len(w.p.Heaters) > 0 && w.p.Attendance.LookEveryH > 7*24 {
		w.add(Finding{
			Code: "rarely_looked_at", Severity: Note,
			Message: text.Of("rarely_looked_at", text.Params{"time": w.p.Attendance.LookEveryH}),
			Change:  text.Of("change_look_weekly", nil),
		})
	}
}

// sharedBoxes reports boxes that hold both what regulates and what guards it or tells of it.
func (w *writer) sharedBoxes() {
	for _, x := range w.p.Boxes {
		var regulates, guards []string
		for _, k := range w.p.Controls {
			switch {
			case !slices.Contains(x.Holds, k.ID):
			case k.Kind == plan.Supervisor:
				guards = append(guards, k.ID)
			default:
				regulates = append(regulates, k.ID)
			}
		}
		for _, a := range w.p.Alarms {
			if slices.Contains(x.Holds, a.ID) {
				guards = append(guards, a.ID)
			}
		}
		if len(regulates) > 0 && len(guards) > 0 {
			w.add(Finding{
				Code: "shared_box", Severity: Weak, Elements: append([]string{x.ID}, guards...),
				Message: text.Of("shared_box", text.Params{"box": x.ID, "controls": regulates, "guards": guards}),
				Answer:  w.unboxed(x, guards),
			})
		}
	}
}
