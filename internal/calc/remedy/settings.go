package remedy

import (
	"math"
	"slices"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// leastShiftK is the least shift of one number that is worth a change; common practice, no source.
const leastShiftK = 0.15

// settings are changes that cost nothing: one number, or a probe at another place.
func (c *candidates) settings() {
	if !c.has("overheated", "chilled", "sump_hot") {
		return
	}
	c.setpoints()
	c.guards()
	c.thresholds()
	c.probes()
}

func (c *candidates) setpoints() {
	for i, k := range given(c.p.Controls, c.sent.Controls) {
		to := c.p.Limits.MiddleC()
		if k.Kind == plan.Cooling {
			to = *c.p.Limits.ComfortHighC
		}
		to = tenth(to)
		if k.SetpointC == nil || math.Abs(*k.SetpointC-to) < leastShiftK ||
			k.Kind == plan.Cooling && *k.SetpointC < to {
			continue
		}
		c.add("setpoint", text.Of("remedy_setpoint", text.Params{"id": k.ID, "to": to, "from": *k.SetpointC}),
			func(p *plan.Plan) { p.Controls[i].SetpointC = &to })
	}
}

func (c *candidates) guards() {
	cutC := c.p.Limits.CutC()
	for _, k := range given(c.p.Controls, c.sent.Controls) {
		above := k.Kind == plan.Supervisor && *k.When == plan.Above && k.ThresholdC != nil
		if above && *k.ThresholdC > cutC+leastShiftK {
			c.take(*audit.SetThreshold("guard_threshold", "remedy_guard_threshold", k.ID, *k.ThresholdC, cutC))
		}
	}
}

func (c *candidates) thresholds() {
	low, high := tenth(*c.p.Limits.ComfortLowC-alarmBeyondK), tenth(*c.p.Limits.ComfortHighC+alarmBeyondK)
	for _, a := range given(c.p.Alarms, c.sent.Alarms) {
		if a.ThresholdC == nil {
			continue
		}
		to := high
		if a.When == plan.Below {
			to = low
		}
		if beyond := *a.ThresholdC - to; math.Abs(beyond) >= leastShiftK && (beyond > 0) == (a.When == plan.Above) {
			c.take(*audit.SetThreshold("alarm_threshold", "remedy_alarm_threshold", a.ID, *a.ThresholdC, to))
		}
	}
}

// probes moves a temperature probe between display and sump.
func (c *candidates) probes() {
	if c.p.Sump == nil {
		return
	}
	for i, x := range given(c.p.Sensors, c.sent.Sensors) {
		if x.Kind != plan.TemperatureKind || x.Place == nil {
			continue
		}
		to, code := plan.InSump, "remedy_probe_to_sump"
		if *x.Place == plan.InSump {
			to, code = plan.InDisplay, "remedy_probe_to_display"
		}
		c.add("probe_place", text.Of(code, text.Params{"id": x.ID}),
			func(p *plan.Plan) { p.Sensors[i].Place = &to })
	}
}

// otherCircuits feeds an alarm, the router or a device from another circuit that the plan has.
func (c *candidates) otherCircuits() {
	circuits := ids(given(c.p.Power.Circuits, c.sent.Power.Circuits), func(x plan.Circuit) string { return x.ID })
	another := func(than *string) *string { // nil: there is none, or it hangs on no circuit
		for _, id := range circuits {
			if than != nil && id != *than {
				return &id
			}
		}
		return nil
	}
	move := func(id string, from *string, set func(p *plan.Plan, to *string)) {
		if to := another(from); to != nil {
			c.add("other_circuit", text.Of("remedy_other_circuit",
				text.Params{"id": id, "to": *to, "from": *from}), func(p *plan.Plan) { set(p, to) })
		}
	}
	for i, a := range given(c.p.Alarms, c.sent.Alarms) {
		if !a.OwnBattery {
			move(a.ID, a.Circuit, func(p *plan.Plan, to *string) { p.Alarms[i].Circuit = to })
		}
	}
	byNetwork := slices.ContainsFunc(c.p.Alarms, func(a plan.Alarm) bool { return a.Path == plan.NetworkPath })
	if to := another(c.p.Power.NetworkCircuit); to != nil && byNetwork {
		c.add("router_circuit", text.Of("remedy_router_circuit", text.Params{"to": *to}),
			func(p *plan.Plan) { p.Power.NetworkCircuit = to })
	}
	if c.has("airless") {
		for i, x := range given(c.p.Pumps, c.sent.Pumps) {
			move(x.ID, x.Circuit, func(p *plan.Plan, to *string) { p.Pumps[i].Circuit = to })
		}
	}
	if c.has("chilled") {
		for i, x := range given(c.p.Heaters, c.sent.Heaters) {
			move(x.ID, x.Circuit, func(p *plan.Plan, to *string) { p.Heaters[i].Circuit = to })
		}
	}
}
