package plan

import (
	"fmt"
	"slices"

	"saltwright/internal/calc/text"
)

// several refuses a list of sensors that cannot decide by its rule.
func (c *checker) several(one bool, ids []string, rule Rule, path string) {
	switch {
	case one && len(ids) > 0:
		c.conflict(text.Of("plan_sensor_or_sensors", nil), path+".sensor", path+".sensors")
	case len(ids) == 0 && rule != "":
		c.conflict(text.Of("plan_rule_needs_sensors", nil), path+".rule", path+".sensors")
	case rule == Middle && len(ids) != 3:
		c.conflict(text.Of("plan_middle_of_three", nil), path+".rule", path+".sensors")
	}
	for j, id := range ids {
		at := fmt.Sprintf("%s.sensors[%d]", path, j)
		s, ok := c.sensor(id)
		first, known := c.sensor(ids[0])
		switch {
		case !ok:
			c.unknown(id, at, "sensor")
		case slices.Contains(ids[:j], id):
			c.conflict(text.Of("plan_output_named_twice", text.Params{"id": id}), at)
		case known && s.Kind != first.Kind:
			c.conflict(text.Of("plan_sensors_of_one_kind", nil), at, path+".sensors[0]")
		case s.Kind != TemperatureKind && (rule == Lowest || rule == Highest):
			c.conflict(text.Of("plan_lowest_of_temperatures", nil), path+".rule", at)
		}
	}
}

// ruled refuses several sensors without a rule, where one is needed, and a rule where none is.
func (c *checker) ruled(ids []string, rule Rule, needs bool, path string) {
	if len(ids) > 0 && needs != (rule != "") {
		c.conflict(text.Of("plan_several_need_rule", nil), path+".rule", path+".sensors")
	}
}

// differing refuses an alarm on disagreement that has nothing to compare.
func (c *checker) differing(a Alarm, path string) {
	if a.When != Differ {
		if a.DifferK != nil {
			c.conflict(text.Of("plan_only_differ_has_difference", nil), path+".differ_k", path+".when")
		}
		return
	}
	if len(a.Sensors) < 2 {
		c.conflict(text.Of("plan_differ_needs_two", nil), path+".sensors", path+".when")
		return
	}
	first, _ := c.sensor(a.Sensors[0])
	temperatures := first.Kind == TemperatureKind
	if temperatures != (a.DifferK != nil) {
		c.conflict(text.Of("plan_difference_with_temperatures", nil), path+".differ_k", path+".sensors")
	}
	if first.Kind != TemperatureKind && first.Kind != LevelKind {
		c.conflict(text.Of("plan_differ_of_kind", nil), path+".sensors", path+".when")
	}
	for j, id := range a.Sensors {
		s, ok := c.sensor(id)
		if ok && temperatures && c.placed(s) != c.placed(first) {
			c.conflict(text.Of("plan_differ_in_one_place", nil), fmt.Sprintf("%s.sensors[%d]", path, j),
				path+".sensors[0]")
		}
	}
}

// placed is where a sensor of temperature is, or will be taken to be.
func (c *checker) placed(s Sensor) Place {
	switch {
	case s.Place != nil:
		return *s.Place
	case c.p.Sump != nil:
		return InSump
	}
	return InDisplay
}
