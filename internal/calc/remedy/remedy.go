// Package remedy finds what to change in a plan so that no single failure loses its tank.
package remedy

import (
	"fmt"
	"math"
	"slices"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
)

// Edit is one change of the plan document.
type Edit struct {
	List   string         // append Value to this list, for instance "alarms"; empty: set a member
	Path   []string       // of the member to set, for instance heaters, 0, power_w
	Value  any            // number, text or list to set
	Append map[string]any // object to append to List
}

// Change is one thing to do, with what it means in the document.
type Change struct {
	Code     string
	Sentence string
	Edits    []Edit
}

// Candidates returns what might help against what a plan's audit found lost, from what the plan has.
//
//	r  the audit; given is how many elements of each list the document itself names, since
//	   assumed ones cannot be edited in it
//
// Errors: none. Source: [CommonPractice] for the changes, [Derived] for their sizes.
func Candidates(r audit.Report, given map[string]int) []Change {
	b := &builder{r: r, p: r.Plan, given: given, losses: map[string]bool{}, lost: map[string]bool{}}
	for _, f := range r.Faults {
		if f.Verdict == audit.Lost {
			b.losses[f.FirstHarm] = true
			b.lost[f.Fault.ID] = true
		}
	}
	for _, n := range r.Nominal {
		for _, c := range n.Crossings {
			if c.HarmH != nil {
				b.losses[c.Loss] = true
			}
		}
	}
	b.heat()
	b.cold()
	b.water()
	b.air()
	b.light()
	b.alarms()
	b.people()
	return b.list
}

type builder struct {
	r      audit.Report
	p      plan.Plan
	given  map[string]int
	losses map[string]bool
	lost   map[string]bool
	list   []Change
}

func (b *builder) add(code, sentence string, edits ...Edit) {
	b.list = append(b.list, Change{code, sentence, edits})
}

func (b *builder) has(losses ...string) bool {
	return slices.ContainsFunc(losses, func(l string) bool { return b.losses[l] })
}

// free returns an id that the plan does not use yet.
func (b *builder) free(id string) string {
	used := map[string]bool{}
	for _, f := range b.r.Faults {
		used[f.Fault.Element] = true
	}
	for _, c := range b.p.Controls {
		used[c.ID] = true
	}
	for n, name := 2, id; ; n++ {
		if !used[name] {
			return name
		}
		name = fmt.Sprintf("%s-%d", id, n)
	}
}

func item(list string, value map[string]any) Edit { return Edit{List: list, Append: value} }

func set(value any, path ...string) Edit { return Edit{Path: path, Value: value} }

func (b *builder) setpoint() float64 {
	for _, c := range b.p.Controls {
		if c.Kind == plan.Heating && c.SetpointC != nil {
			return *c.SetpointC
		}
	}
	return (*b.p.Limits.ComfortLowC + *b.p.Limits.ComfortHighC) / 2
}

func round1(x float64) float64 { return math.Round(10*x) / 10 }

// between is where a second line cuts: a third of the way from comfort to harm.
func (b *builder) between() float64 {
	l := b.p.Limits
	return round1(*l.ComfortHighC + 0.3*(*l.HarmHighC-*l.ComfortHighC))
}

func (b *builder) heaterIDs() []any {
	var ids []any
	for i, h := range b.p.Heaters {
		if i < b.given["heaters"] {
			ids = append(ids, h.ID)
		}
	}
	return ids
}

func (b *builder) heat() {
	if !b.has("overheated") {
		return
	}
	for i, h := range b.p.Heaters {
		if i >= b.given["heaters"] {
			continue
		}
		at := []string{"heaters", fmt.Sprint(i)}
		mark := round1(b.setpoint() + 1.1)
		if h.ThermostatC == nil || *h.ThermostatC > mark+0.3 {
			b.add("backstop", fmt.Sprintf("Set the own thermostat of %s to %.1f °C, 1.1 K above the control.", h.ID, mark), set(mark, append(at, "thermostat_c")...))
		}
		if h.PowerW >= 100 {
			half := math.Ceil(h.PowerW / 2)
			second := map[string]any{"id": b.free(h.ID + "-b"), "power_w": half}
			edits := []Edit{set(half, append(slices.Clone(at), "power_w")...)}
			if h.ThermostatC != nil {
				second["thermostat_c"] = *h.ThermostatC
			}
			if h.Place != nil {
				second["place"] = string(*h.Place)
			}
			edits = append(edits, item("heaters", second))
			for k, c := range b.p.Controls {
				if k < b.given["controls"] && slices.Contains(c.Outputs, h.ID) {
					edits = append(edits, set(append(texts(c.Outputs), second["id"]), "controls", fmt.Sprint(k), "outputs"))
				}
			}
			b.add("split_heater", fmt.Sprintf("Use two heaters of %.0f W in place of %s with its %.0f W, each on an output of its own.", half, h.ID, h.PowerW), edits...)
		}
	}
	if ids := b.heaterIDs(); len(ids) > 0 {
		probe, guard := b.free("guard-probe"), b.free("heat-guard")
		b.add("guard", fmt.Sprintf("Add a supervisor with a probe of its own that cuts all heating at %.1f °C.", b.between()),
			item("sensors", map[string]any{"id": probe, "kind": "temperature", "place": "display"}),
			item("controls", map[string]any{"id": guard, "kind": "supervisor", "sensor": probe, "when": "above", "threshold_c": b.between(), "outputs": ids, "on_sensor_loss": "on"}))
	}
}

func texts(list []string) []any {
	var out []any
	for _, s := range list {
		out = append(out, s)
	}
	return out
}

func (b *builder) cold() {
	if !b.has("chilled") {
		return
	}
	need := 0.0
	for _, n := range b.r.Nominal {
		watts := 0.0
		for i, d := range n.Devices {
			if i < len(b.p.Heaters) {
				watts += d.KWhPerDay * 1000 / 24
			}
		}
		need = math.Max(need, watts)
	}
	power := math.Max(25, 25*math.Ceil(1.15*need/25))
	heater := map[string]any{"id": b.free("spare-heater"), "power_w": power, "thermostat_c": round1(b.setpoint() - 0.7)}
	if other := b.otherCircuit(); other != "" {
		heater["circuit"] = other
	}
	b.add("spare_heater", fmt.Sprintf("Add a heater of %.0f W that stands by with its own thermostat at %.1f °C.", power, round1(b.setpoint()-0.7)), item("heaters", heater))
}

// otherCircuit is a circuit that does not feed the first heater, as far as the document names one.
func (b *builder) otherCircuit() string {
	if len(b.p.Heaters) == 0 || b.p.Heaters[0].Circuit == nil {
		return ""
	}
	for i, c := range b.p.Power.Circuits {
		if i < b.given["power.circuits"] && c.ID != *b.p.Heaters[0].Circuit {
			return c.ID
		}
	}
	return ""
}

func (b *builder) water() {
	if b.has("diluted", "flooded") {
		volume := b.r.Tank.DisplayL + b.r.Tank.SumpL
		harmless := volume * (b.p.SalinityPSU / *b.p.Limits.HarmLowPSU - 1)
		if b.losses["flooded"] {
			harmless = math.Min(harmless, b.r.Tank.FreeSumpL)
		}
		for i, v := range b.p.Reservoirs {
			if l := math.Floor(0.9 * harmless); i < b.given["reservoirs"] && v.VolumeL > l && l >= 0.5 {
				b.add("day_container", fmt.Sprintf("Let %s hold %.0f L at most, which does no harm if it all runs in, and refill it from a larger one by hand.", v.ID, l), set(l, "reservoirs", fmt.Sprint(i), "volume_l"))
			}
		}
		var pumps []any
		evaporated := 0.0
		for _, n := range b.r.Nominal {
			evaporated = math.Max(evaporated, n.EvaporationLD)
		}
		for i, q := range b.p.TopOffPumps {
			if i >= b.given["top_off_pumps"] {
				continue
			}
			pumps = append(pumps, q.ID)
			if slow := math.Ceil(2*evaporated) / 10; q.FlowLH > 1.5*slow && slow > 0 {
				b.add("slower_pump", fmt.Sprintf("Throttle %s to %.1f L/h: with %.1f L evaporated a day it keeps up, and a stuck one leaves days.", q.ID, slow, evaporated), set(slow, "top_off_pumps", fmt.Sprint(i), "flow_l_h"))
			}
		}
		for k, c := range b.p.Controls {
			if c.Kind == plan.TopOff && k < b.given["controls"] && c.RunLimitMin == nil {
				b.add("run_limit", fmt.Sprintf("Give %s a run limit of 15 min.", c.ID), set(15.0, "controls", fmt.Sprint(k), "run_limit_min"))
			}
		}
		if len(pumps) > 0 {
			float, guard := b.free("high-float"), b.free("fill-guard")
			b.add("second_level_sensor", "Add a second level sensor of another kind, 12 mm above the line, and a supervisor that cuts the top-off by it.",
				item("sensors", map[string]any{"id": float, "kind": "level", "height_mm": 12.0}),
				item("controls", map[string]any{"id": guard, "kind": "supervisor", "sensor": float, "when": "wet", "outputs": pumps}))
		}
	}
	if b.has("flooded", "run_dry") && b.p.Sump != nil {
		s := b.p.Sump
		if b.has("flooded") {
			b.drainBack(s)
		}
		if b.has("run_dry") && s.ReturnIntakeMM != nil {
			deeper := math.Round(0.6 * *s.ReturnIntakeMM)
			b.add("deeper_intake", fmt.Sprintf("Let the return pump draw from %.0f mm in place of %.0f mm.", deeper, *s.ReturnIntakeMM), set(deeper, "sump", "return_intake_mm"))
		}
	}
}

// drainBack makes room in the sump for what runs down, from either side.
func (b *builder) drainBack(s *plan.Sump) {
	const spare = 1.1
	t, d := b.r.Tank, b.p.Display
	lower := math.Floor(0.82 * s.WaterLevelMM)
	if missing := spare*t.DrainBackL - t.FreeSumpL; missing > 0 && s.ReturnChamberMM != nil {
		// below the baffle only the return chamber's level moves
		lower = math.Min(lower, math.Floor(s.WaterLevelMM-missing*squareMMPerL/(*s.ReturnChamberMM*s.WidthMM)))
	}
	if s.ReturnIntakeMM == nil || lower > *s.ReturnIntakeMM {
		if lower > 0 {
			b.add("lower_level", fmt.Sprintf("Run the sump at %.0f mm in place of %.0f mm, so that what drains back has room.", lower, s.WaterLevelMM), set(lower, "sump", "water_level_mm"))
		}
	}
	if d.LengthMM == nil || d.WidthMM == nil {
		return
	}
	if less := math.Floor(t.FreeSumpL / spare * squareMMPerL / (*d.LengthMM * *d.WidthMM)); less < d.DrainBackMM && less >= 1 {
		b.add("less_drain_back", fmt.Sprintf("Raise the overflow's and the return outlet's openings so that %.0f mm of the display run down in place of %.0f mm, with a siphon break that is kept clear.", less, d.DrainBackMM), set(less, "display", "drain_back_mm"))
	}
}

const squareMMPerL = 1e6 // a litre 1 mm deep

func (b *builder) air() {
	if !b.has("airless", "chilled") || !b.lost["mains.lost"] && !b.has("airless") {
		return
	}
	for i, c := range b.p.Power.Circuits {
		if i < b.given["power.circuits"] && c.BackupH < b.p.Power.LongestOutageH {
			b.add("battery", fmt.Sprintf("Back %s with a battery for %.0f h.", c.ID, b.p.Power.LongestOutageH), set(b.p.Power.LongestOutageH, "power", "circuits", fmt.Sprint(i), "backup_h"))
		}
	}
	if b.has("airless") {
		pump := map[string]any{"id": b.free("stream"), "role": "circulation", "flow_l_h": math.Round(6 * b.r.Tank.DisplayL), "power_w": math.Max(3, math.Round(0.03*b.r.Tank.DisplayL))}
		if other := b.otherCircuit(); other != "" {
			pump["circuit"] = other
		}
		b.add("second_stream", "Add a second circulation pump, on another circuit where there is one.", item("pumps", pump))
	}
}

func (b *builder) light() {
	if !b.has("no_dark") {
		return
	}
	night := map[string]any{"on_at": "10:00", "off_at": "20:00", "ramp_min": 60.0}
	for i, l := range b.p.Lights {
		if i < b.given["lights"] && l.Schedule != nil {
			b.add("dark_night", fmt.Sprintf("Light %s from 10:00 to 20:00 with ramps of 60 min, and leave it wholly dark at night.", l.ID), set(night, "lights", fmt.Sprint(i), "schedule"))
		}
	}
	for k, c := range b.p.Controls {
		if k < b.given["controls"] && c.Kind == plan.Timer && slices.ContainsFunc(b.p.Lights, func(l plan.Light) bool { return slices.Contains(c.Outputs, l.ID) }) {
			b.add("shorter_timer", fmt.Sprintf("Let %s close at 09:30 and open at 20:30.", c.ID), set(map[string]any{"on_at": "09:30", "off_at": "20:30"}, "controls", fmt.Sprint(k), "schedule"))
		}
	}
	for i, l := range b.p.Lights {
		if i >= b.given["lights"] || l.Schedule == nil || slices.ContainsFunc(b.p.Controls, func(c plan.Control) bool { return slices.Contains(c.Outputs, l.ID) && c.Kind != plan.Supervisor }) {
			continue
		}
		b.add("second_timer", fmt.Sprintf("Put %s behind a timer of its own, from 09:30 to 20:30.", l.ID),
			item("controls", map[string]any{"id": b.free("lamp-timer"), "kind": "timer", "outputs": []any{l.ID}, "schedule": map[string]any{"on_at": "09:30", "off_at": "20:30"}}))
	}
}

func (b *builder) alarms() {
	alarm := func(code, sentence, sensorID string, sensor map[string]any, alarms ...map[string]any) {
		edits := []Edit{}
		if sensor != nil {
			edits = append(edits, item("sensors", sensor))
		}
		for _, a := range alarms {
			a["sensor"], a["path"], a["own_battery"] = sensorID, "cellular", true
			edits = append(edits, item("alarms", a))
		}
		b.add(code, sentence, edits...)
	}
	l := b.p.Limits
	if b.has("overheated", "chilled") {
		id := b.free("alarm-probe")
		alarm("temperature_alarm", "Let a probe of its own raise temperature alarms that travel by a path of their own.", id, map[string]any{"id": id, "kind": "temperature", "place": "display"},
			map[string]any{"id": b.free("cold-alarm"), "when": "below", "threshold_c": round1(*l.ComfortLowC - 0.2), "delay_min": 5.0, "on_sensor_loss": true},
			map[string]any{"id": b.free("warm-alarm"), "when": "above", "threshold_c": round1(*l.ComfortHighC + 0.2), "delay_min": 5.0, "on_sensor_loss": true})
	}
	if b.has("run_dry", "concentrated", "flooded", "diluted") {
		low, high := b.free("low-mark"), b.free("high-mark")
		alarm("low_water_alarm", "Let a level sensor 15 mm below the line raise an alarm that travels by a path of its own.", low, map[string]any{"id": low, "kind": "level", "height_mm": -15.0},
			map[string]any{"id": b.free("low-alarm"), "when": "dry", "delay_min": 10.0})
		alarm("high_water_alarm", "Let a level sensor 15 mm above the line raise an alarm that travels by a path of its own.", high, map[string]any{"id": high, "kind": "level", "height_mm": 15.0},
			map[string]any{"id": b.free("high-alarm"), "when": "wet", "delay_min": 10.0})
	}
	if b.has("airless", "chilled", "overheated") && b.given["power.circuits"] > 0 {
		for i, c := range b.p.Power.Circuits {
			if i >= b.given["power.circuits"] {
				continue
			}
			id := b.free("watch-" + c.ID)
			alarm("power_alarm", fmt.Sprintf("Let a sensor watch %s and raise an alarm with a battery and a path of its own when it is dead.", c.ID), id, map[string]any{"id": id, "kind": "power", "circuit": c.ID},
				map[string]any{"id": b.free("dead-" + c.ID), "when": "no_power", "delay_min": 5.0})
		}
	}
	for i, a := range b.p.Alarms {
		if i < b.given["alarms"] && (a.Path == plan.NetworkPath || a.Path == plan.AudiblePath) && !a.OwnBattery {
			b.add("alarm_path", fmt.Sprintf("Let %s travel by a cellular path and from a battery of its own.", a.ID),
				set("cellular", "alarms", fmt.Sprint(i), "path"), set(true, "alarms", fmt.Sprint(i), "own_battery"))
		}
	}
}

func (b *builder) people() {
	if first := b.r.FirstLost(); first != nil && *first.HarmH >= 12 && *first.HarmH < *b.p.Attendance.LongestAbsenceH {
		h := math.Floor(0.95 * *first.HarmH)
		b.add("come_back_sooner", fmt.Sprintf("Have somebody look every %s at the longest.", audit.Duration(h)), set(h, "attendance", "longest_absence_h"))
	}
	if r := *b.p.Attendance.ResponseH; r > 2 {
		b.add("faster_response", fmt.Sprintf("Have somebody who can be at the tank within %.0f h.", math.Max(1, math.Floor(r/2))), set(math.Max(1, math.Floor(r/2)), "attendance", "response_h"))
	}
}
