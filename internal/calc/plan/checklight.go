package plan

import (
	"fmt"

	"saltwright/internal/calc/text"
)

// lightSensor refuses a sensor of light without a lamp, or elsewhere than over the display.
func (c *checker) lightSensor(s Sensor, at string) {
	switch {
	case s.Kind != LightKind:
	case len(c.p.Lights) == 0:
		c.conflict(text.Of("plan_light_sensor_needs_lamp", nil), at+".kind", "lights")
	case s.Place != nil && *s.Place != InDisplay:
		c.conflict(text.Of("plan_light_sensor_over_display", nil), at+".place", at+".kind")
	}
}

// flowSensor refuses a share of the flow for what feels no flow.
func (c *checker) flowSensor(s Sensor, at string) {
	if s.LowFlowShare != nil && s.Kind != FlowKind {
		c.conflict(text.Of("plan_only_flow_has_share", nil), at+".low_flow_share", at+".kind")
	}
}

// hours refuses hours of an alarm that are none, or that it does not need.
func (c *checker) hours() {
	for i, a := range c.p.Alarms {
		from, to := fmt.Sprintf("alarms[%d].from_at", i), fmt.Sprintf("alarms[%d].to_at", i)
		if a.FromAt == nil && a.ToAt == nil {
			continue
		}
		if a.FromAt == nil || a.ToAt == nil || a.When != Lit && a.When != Dark {
			c.conflict(text.Of("plan_hours_of_light_alarm", nil), from, to)
			continue
		}
		for _, x := range []struct {
			at   ClockTime
			path string
		}{{*a.FromAt, from}, {*a.ToAt, to}} {
			if _, ok := x.at.read(); !ok {
				c.conflict(notATime(x.at), x.path)
			}
		}
		if *a.FromAt == *a.ToAt {
			c.conflict(text.Of("plan_hours_are_none", nil), from, to)
		}
	}
}
