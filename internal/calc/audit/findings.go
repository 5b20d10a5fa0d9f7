package audit

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
)

// thinMarginH is a rescue too close to count on, h; common practice, no source.
const thinMarginH = 2.0

// chatterPerHour is more starts an hour than a relay stands for long; common practice, no source.
const chatterPerHour = 60.0

// findings turns a report into sentences, worst first.
func findings(r Report, rooms []room) []Finding {
	w := writer{p: r.Plan, rooms: rooms}
	w.nominal(r)
	w.unsound(r)
	w.thin(r)
	w.standing()
	w.commonCauses()
	w.hidden(r)
	w.people()
	return w.list
}

// nominal reports what goes wrong with nothing broken.
func (w *writer) nominal(r Report) {
	for _, n := range r.Nominal {
		for _, c := range n.Crossings {
			at, what, severity := c.ComfortH, "leaves its comfort band", Weak
			switch {
			case c.LossH != nil:
				at, what, severity = c.LossH, "is lost", Fatal
			case c.HarmH != nil && Damages(c.Loss):
				at, what, severity = c.HarmH, "suffers damage", Fatal
			case c.HarmH != nil:
				at, what, severity = c.HarmH, "is harmed", Fatal
			}
			w.add(Finding{
				Code: "nominal_" + c.Loss, Severity: severity,
				Message: fmt.Sprintf("With nothing broken the tank %s after %.0f h in the %s room (%.0f °C): %s.",
					what, *at, n.Room, n.TempC, lossPhrase[c.Loss]),
				Change: w.change(c.Loss, n.Room, "", nil),
			})
		}
		if n.Truncated {
			w.add(Finding{Code: "switching_without_end", Severity: Fatal,
				Message: fmt.Sprintf("In the %s room something switches without end, and the run was cut short.",
					n.Room),
				Change: "Give every control a hysteresis of at least 0.2 K or 3 mm and set-points that do not " +
					"overlap."})
			continue
		}
		for _, d := range n.Devices {
			if d.StartsPerDay > chatterPerHour*24 {
				w.add(Finding{Code: "chattering", Severity: Weak, Elements: []string{d.ID},
					Message: fmt.Sprintf("%s starts %.0f times an hour in the %s room, which wears out its relay.",
						d.ID,
						d.StartsPerDay/24, n.Room),
					Change: "Widen the hysteresis of the control that drives it, or move set-points that overlap " +
						"apart."})
			}
		}
	}
}

var lossPhrase = map[string]string{
	"overheated": "it overheats", "chilled": "it grows too cold", "diluted": "fresh water dilutes it",
	"concentrated": "evaporation concentrates it", "flooded": "water runs onto the floor",
	"run_dry": "the water falls until pump or heater stands dry", "no_dark": "it gets no night",
	"no_light": "it gets no light", "airless": "it runs out of oxygen",
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
			Change:   w.change(k.loss, fastest.Room, k.element, &fastest),
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

// Does says what a verdict that is not sound means, to be read after the tank.
//
// Errors: none. Source: [Derived].
func (f *FaultReport) Does() string {
	return map[string]string{"lost": "is lost", "damage": "suffers damage", "harmed": "is harmed"}[f.endCode()]
}

func orElse(s, other string) string {
	if s == "" {
		return other
	}
	return s
}

// subject names the device a fault acts through: an output's device, a control's first output, or the element itself.
func (w *writer) subject(f FaultReport) string {
	if f.Fault.Output != "" {
		return f.Fault.Output
	}
	for _, k := range w.p.Controls {
		reads := k.Sensor != nil && *k.Sensor == f.Fault.Element && k.Kind != plan.Supervisor
		if (k.ID == f.Fault.Element || reads) && len(k.Outputs) > 0 {
			return k.Outputs[0]
		}
	}
	return f.Fault.Element
}

func lossSentence(f FaultReport, more int) string {
	if f.EndsH() == nil {
		return fmt.Sprintf("If %s, something switches without end, and the run was cut short.", f.Fault.Sentence)
	}
	s := fmt.Sprintf("If %s, the tank %s after %s in the %s room: %s (%s).",
		f.Fault.Sentence, f.Does(), Duration(*f.EndsH()), f.Room, lossPhrase[f.Ends()], peakPhrase(f))
	switch {
	case f.Alarm == nil:
		s += " Nothing tells anybody who is away."
	default:
		s += fmt.Sprintf(" Alarm %s is raised after %s, but hands reach the tank %s too late.",
			f.Alarm.ID, Duration(f.Alarm.RaisedH), Duration(f.Alarm.ActH-*f.EndsH()))
	}
	return s + others(more, "ends the same way", "end the same way")
}

// Duration writes hours as a person would say them.
//
// Accuracy: rounded for reading. Errors: none. Source: [Derived].
func Duration(h float64) string {
	switch {
	case h < 1:
		return fmt.Sprintf("%.0f min", h*60)
	case h < 48:
		return fmt.Sprintf("%.1f h", h)
	default:
		return fmt.Sprintf("%.1f days", h/24)
	}
}

func peakPhrase(f FaultReport) string {
	e := f.Extremes
	switch f.Ends() {
	case "overheated":
		return fmt.Sprintf("it would reach %.1f °C", e.TempMaxC)
	case "chilled":
		return fmt.Sprintf("it would fall to %.1f °C", e.TempMinC)
	case "diluted":
		return fmt.Sprintf("salinity would fall to %.1f", e.SalinityMin)
	case "concentrated":
		return fmt.Sprintf("salinity would rise to %.1f", e.SalinityMax)
	case "flooded":
		return fmt.Sprintf("%.0f L would run onto the floor", e.SpilledL)
	case "run_dry":
		return fmt.Sprintf("the level would fall by %.0f mm", -e.LevelMinMM)
	case "airless":
		return fmt.Sprintf("oxygen would fall to %.1f mg/L", e.OxygenMinMgL)
	default:
		return "until somebody looks"
	}
}

// thin reports, by alarm, the rescues that leave little time.
func (w *writer) thin(r Report) {
	var order []string
	group := map[string][]FaultReport{}
	for _, f := range r.Faults {
		if f.Verdict == Rescued && *f.MarginH < thinMarginH {
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
			Message: fmt.Sprintf("If %s, alarm %s saves the tank with only %s to spare.%s",
				tightest.Fault.Sentence, alarm, Duration(*tightest.MarginH),
				others(len(list)-1, "is nearly as close", "are "+
					"nearly as close")),
			Change: "Move the alarm's threshold closer to the comfort band, shorten its delay, or have somebody " +
				"nearer to act.",
		})
	}
}

// others says how many more faults do the same; nothing for none.
func others(n int, one, many string) string {
	switch n {
	case 0:
		return ""
	case 1:
		return " One other fault " + one + "."
	default:
		return fmt.Sprintf(" %d other faults %s.", n, many)
	}
}

// standing reports alarms that are raised with nothing broken.
func (w *writer) standing() {
	for i, a := range w.p.Alarms {
		var rooms []string
		for _, rm := range w.rooms {
			if rm.raisedS[i] != sim.Never {
				rooms = append(rooms, string(rm.name))
			}
		}
		if len(rooms) > 0 {
			w.add(Finding{
				Code: "standing_alarm", Severity: Weak, Elements: []string{a.ID},
				Message: fmt.Sprintf("Alarm %s is raised with nothing broken (%s room): who is used to it does not "+
					"come, so that it rescues nothing.", a.ID, strings.Join(rooms, ", ")),
				Change: "Set it outside of what the tank does by itself.",
			})
		}
	}
}

// commonCauses reports protections that share the sensor or the circuit of what they protect.
func (w *writer) commonCauses() {
	regulated := map[string]string{} // sensor -> control that regulates by it
	for _, k := range w.p.Controls {
		if k.Sensor != nil && k.Kind != plan.Supervisor {
			regulated[*k.Sensor] = k.ID
		}
	}
	shared := func(id, sensor, what string) {
		if control, ok := regulated[sensor]; ok {
			w.add(Finding{
				Code: "shared_sensor", Severity: Weak, Elements: []string{id, control, sensor},
				Message: fmt.Sprintf("%s %s reads %s, the sensor that %s acts on: when that sensor lies, both "+
					"believe it.", what,
					id, sensor, control),
				Change: fmt.Sprintf("Give %s a sensor of its own, best of another kind.", id),
			})
		}
	}
	for _, k := range w.p.Controls {
		if k.Kind == plan.Supervisor {
			shared(k.ID, *k.Sensor, "Supervisor")
		}
	}
	for _, a := range w.p.Alarms {
		shared(a.ID, a.Sensor, "Alarm")
		if a.OwnBattery {
			continue
		}
		for _, x := range w.p.Sensors {
			if x.ID == a.Sensor && x.Kind == plan.PowerKind && *x.Circuit == *a.Circuit {
				w.add(Finding{
					Code: "alarm_on_watched_circuit", Severity: Weak, Elements: []string{a.ID, *a.Circuit},
					Message: fmt.Sprintf("Alarm %s is fed by %s, the circuit it watches: it goes silent with it.",
						a.ID, *a.Circuit),
					Change: fmt.Sprintf("Give %s a battery of its own.", a.ID),
				})
			}
		}
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
		Message: fmt.Sprintf("%d faults do no harm by themselves and nothing reveals them: they wait for a second "+
			"one.",
			len(ids)),
		Change: "Try these elements by hand every month: " + strings.Join(elements, ", ") + ".",
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
		w.add(Finding{
			Code: "no_ground_fault_protection", Severity: Note, Elements: open,
			Message: "No ground-fault protection is stated for " + strings.Join(open, ", ") +
				", and mains power beside " +
				"salt water kills people.",
			Change: "Have a licensed electrician fit ground-fault protection as the local code asks, and say so in " +
				"the " +
				"plan (ground_fault).",
		})
	}
	if len(w.p.Heaters) > 0 && w.p.Attendance.LookEveryH > 7*24 {
		w.add(Finding{
			Code: "rarely_looked_at", Severity: Note,
			Message: fmt.Sprintf("Somebody looks only every %.0f days.", w.p.Attendance.LookEveryH/24),
			Change:  "A look a week finds what no alarm watches.",
		})
	}
}
