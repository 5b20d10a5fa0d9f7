package plan

import (
	"fmt"
	"slices"
	"strings"

	"saltwright/internal/calc/text"
)

// watching lists the members that an alarm on running needs, by what it is raised on.
var watching = map[When][]string{
	RunsLong: {"runs_min"}, StartsOften: {"starts", "within_h"}, StandsStill: {"within_h"},
}

// watch refuses an alarm that watches what runs and says too little, or too much.
func (c *checker) watch(a Alarm, path string) {
	needs, onRunning := watching[a.When]
	if a.Watches != "" && a.Sensor != "" {
		c.conflict(text.Of("plan_watches_or_sensor", nil), path+".watches", path+".sensor")
	}
	switch list, _, _ := strings.Cut(c.ids[a.Watches], "["); {
	case !onRunning && a.Watches != "":
		c.conflict(text.Of("plan_watches_without_running", nil), path+".when", path+".watches")
	case onRunning && a.Watches == "":
		c.conflict(text.Of("plan_running_needs_watches", nil), path+".watches", path+".when")
	case a.Watches != "" && !slices.Contains(drives[Supervisor].lists, list):
		c.unknown(a.Watches, path+".watches", "device_or_control")
	}
	for _, member := range []struct {
		name  string
		given bool
	}{{"runs_min", a.RunsMin != nil}, {"starts", a.Starts != nil}, {"within_h", a.WithinH != nil}} {
		if member.given != slices.Contains(needs, member.name) {
			c.conflict(text.Of("plan_running_members", nil), path+"."+member.name, path+".when")
		}
	}
	if onRunning && a.thresholds().any() {
		c.conflict(text.Of("plan_threshold_with_temperature", nil), path+".threshold_c", path+".when")
	}
}

func (c *checker) alarms() {
	for i, a := range c.p.Alarms {
		at := fmt.Sprintf("alarms[%d]", i)
		c.watch(a, at)
		if _, onRunning := watching[a.When]; !onRunning && a.Watches == "" {
			c.several(a.Sensor != "", a.Sensors, a.Rule, at)
			c.ruled(a.Sensors, a.Rule, a.When != Differ, at)
			c.differing(a, at)
			if len(a.Sensors) == 0 && a.When != Differ {
				c.reading(a.Sensor, a.When, a.thresholds(), at+".sensor", at)
			}
			for j, id := range a.Sensors {
				if _, ok := c.sensor(id); ok && a.When != Differ {
					c.reading(id, a.When, a.thresholds(), fmt.Sprintf("%s.sensors[%d]", at, j), at)
				}
			}
		}
	}
	for i, t := range c.p.ProofTests {
		if _, ok := c.ids[t.Element]; !ok {
			c.unknown(t.Element, fmt.Sprintf("proof_tests[%d].element", i), "element")
		}
	}
}
