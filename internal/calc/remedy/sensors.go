package remedy

import (
	"slices"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// secondSensors lets what regulates by one sensor read several by a rule: all where calling harms, any where silence
// does, the middle of three for both.
func (c *candidates) secondSensors() {
	for i, k := range given(c.p.Controls, c.sent.Controls) {
		calling, silence := c.harms(k.Kind)
		if k.Sensor == nil || !calling && !silence {
			continue
		}
		read := func(code, sentence string, rule plan.Rule, more int) {
			c.add(code, text.Of(sentence, text.Params{"id": k.ID}), func(p *plan.Plan) {
				x := &p.Controls[i]
				x.Sensors, x.Sensor, x.Rule = likeSensors(p, *k.Sensor, more), nil, rule
			})
		}
		if calling {
			read("second_sensor", "remedy_second_sensor_all", plan.All, 1)
		}
		if silence {
			read("second_sensor", "remedy_second_sensor_any", plan.Any, 1)
		}
		read("three_sensors", "remedy_three_sensors", plan.Middle, 2)
	}
	for i, a := range given(c.p.Alarms, c.sent.Alarms) {
		if a.Sensor == "" || !c.silent(audit.SensorLies, a.ID) {
			continue
		}
		c.add("second_sensor", text.Of("remedy_alarm_second_sensor", text.Params{"id": a.ID}), func(p *plan.Plan) {
			x := &p.Alarms[i]
			x.Sensors, x.Sensor, x.Rule = likeSensors(p, a.Sensor, 1), "", plan.Any
		})
	}
}

// harms tells whether a control of a kind that calls too much, or too little, may bring what was found.
func (c *candidates) harms(kind plan.ControlKind) (calling, silence bool) {
	switch kind {
	case plan.Heating:
		return c.has("overheated", "sump_hot"), c.has("chilled")
	case plan.Cooling:
		return c.has("chilled"), c.has("overheated")
	case plan.TopOff:
		return c.has("flooded", "diluted", "salinity_shock"), c.has("run_dry", "concentrated")
	case plan.Acidity:
		return c.has("ph_low", "dissolving"), c.has("ph_high")
	}
	return false, false
}

// silent tells whether an alarm brings no help for that reason against something that ends badly.
func (c *candidates) silent(why audit.WhyNoHelp, alarm string) bool {
	return slices.ContainsFunc(c.report.Faults, func(f audit.FaultReport) bool {
		return slices.ContainsFunc(f.NoHelp, func(n audit.NoHelp) bool {
			return n.Why == why && slices.Contains(n.Alarms, alarm)
		})
	})
}

// likeSensors adds so many sensors like one of a plan, and returns the ids of all.
func likeSensors(p *plan.Plan, id string, more int) []string {
	i := slices.IndexFunc(p.Sensors, func(x plan.Sensor) bool { return x.ID == id })
	out := []string{id}
	for range more {
		out = append(out, addSensor(p, p.Sensors[i]))
	}
	return out
}
