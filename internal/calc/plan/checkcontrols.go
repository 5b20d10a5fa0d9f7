package plan

import (
	"fmt"
	"slices"
	"strings"

	"saltwright/internal/calc/text"
)

func (c *checker) controls() {
	for i, k := range c.p.Controls {
		at := fmt.Sprintf("controls[%d]", i)
		if k.Kind == Timer {
			if k.Schedule == nil {
				c.conflict(text.Of("plan_timer_needs_schedule", nil), at+".schedule")
			} else {
				c.schedule(*k.Schedule, at+".schedule")
			}
		} else if k.Sensor == nil && len(k.Sensors) == 0 {
			c.conflict(text.Of("plan_control_needs_sensor", text.Params{"kind": string(k.Kind)}), at+".sensor")
		}
		c.controlSensor(k, at)
		if k.RunLimitMin != nil && k.Kind != TopOff {
			c.conflict(text.Of("plan_run_limit_elsewhere", nil), at+".run_limit_min", at+".kind")
		}
		for j, out := range k.Outputs {
			path := fmt.Sprintf("%s.outputs[%d]", at, j)
			if !c.canDrive(k.Kind, out) && !strings.HasPrefix(c.ids[out], "contactors[") {
				c.unknown(out, path, drives[k.Kind].wanted)
				continue
			}
			if slices.Contains(k.Outputs[:j], out) {
				c.conflict(text.Of("plan_output_named_twice", text.Params{"id": out}), path)
			}
		}
	}
}

func (c *checker) controlSensor(k Control, at string) {
	if k.Kind == Supervisor && k.When == nil {
		c.conflict(text.Of("plan_supervisor_needs_when", nil), at+".when")
	}
	if k.Kind != Supervisor && (k.When != nil || k.thresholds().any()) {
		c.conflict(text.Of("plan_only_supervisors_have_when", nil), at+".when",
			at+".kind")
	}
	regulates := k.Kind == Heating || k.Kind == Cooling
	if regulates != (k.SetpointC != nil) {
		c.conflict(text.Of("plan_setpoint_with_heating_or_cooling", nil), at+".setpoint_c",
			at+".kind")
	}
	if (k.Kind == Acidity) != (k.SetpointPH != nil) {
		c.conflict(text.Of("plan_setpoint_with_acidity", nil), at+".setpoint_ph", at+".kind")
	}
	c.several(k.Sensor != nil, k.Sensors, k.Rule, at)
	c.ruled(k.Sensors, k.Rule, true, at)
	for j, id := range k.Reads() {
		from := at + ".sensor"
		if k.Sensor == nil {
			from = fmt.Sprintf("%s.sensors[%d]", at, j)
			if _, ok := c.sensor(id); !ok {
				continue
			}
		}
		switch {
		case k.Kind == Timer:
			c.conflict(text.Of("plan_timer_reads_no_sensor", nil), from, at+".kind")
		case k.Kind != Supervisor:
			c.regulatingSensor(k.Kind, id, from, at)
		case k.When != nil:
			c.reading(id, *k.When, k.thresholds(), from, at)
		}
	}
}

func (c *checker) regulatingSensor(kind ControlKind, id, from, at string) {
	s, ok := c.sensor(id)
	want := TemperatureKind
	switch kind {
	case TopOff:
		want = LevelKind
	case Acidity:
		want = PHKind
	}
	switch {
	case !ok:
		c.unknown(id, from, "sensor")
	case s.Kind != want || s.Reservoir != nil:
		c.conflict(text.Of("plan_control_reads_other_kind",
			text.Params{"kind": string(kind), "sensor": string(want)}), from, at+".kind")
	}
}

// drives is what a control of a kind may have as outputs.
var drives = map[ControlKind]struct {
	wanted string // of the catalogue's words
	lists  []string
}{
	Heating: {"heater", []string{"heaters"}},
	Cooling: {"cooler", []string{"chillers", "fans"}},
	TopOff:  {"top_off_pump", []string{"top_off_pumps"}},
	Acidity: {"carbon_dioxide", []string{"carbon_dioxide"}},
	Timer: {"device", []string{"heaters", "chillers", "fans", "pumps", "top_off_pumps", "lights", "skimmers",
		"dosing_pumps", "change_pumps", "carbon_dioxide"}},
	Supervisor: {"device_or_control", []string{"heaters", "chillers", "fans", "pumps", "top_off_pumps", "lights",
		"skimmers", "dosing_pumps", "change_pumps", "carbon_dioxide", "controls"}},
}

func (c *checker) canDrive(kind ControlKind, id string) bool {
	list, _, _ := strings.Cut(c.ids[id], "[")
	return slices.Contains(drives[kind].lists, list)
}

// loops refuses controls that switch each other in a circle.
func (c *checker) loops() {
	next := map[string][]string{}
	at := map[string]int{}
	for i, k := range c.p.Controls {
		next[k.ID] = k.Outputs
		at[k.ID] = i
	}
	const unseen, open, done = 0, 1, 2
	state := map[string]int{}
	var visit func(id string, trail []string)
	visit = func(id string, trail []string) {
		i, isControl := at[id]
		if !isControl || state[id] == done {
			return
		}
		trail = append(trail, fmt.Sprintf("controls[%d].outputs", i))
		if state[id] == open {
			c.conflict(text.Of("plan_controls_in_a_circle", nil),
				trail[slices.Index(trail, trail[len(trail)-1]):len(trail)-1]...)
			return
		}
		state[id] = open
		for _, out := range next[id] {
			visit(out, trail)
		}
		state[id] = done
	}
	for _, k := range c.p.Controls {
		visit(k.ID, nil)
	}
}
