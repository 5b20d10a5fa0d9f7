package plan

import (
	"fmt"
	"slices"
	"strings"
)

func (c *checker) controls() {
	driver := map[string]string{}
	for i, k := range c.p.Controls {
		at := fmt.Sprintf("controls[%d]", i)
		if k.Kind == Timer {
			if k.Schedule == nil {
				c.conflict("a timer needs a schedule", at+".schedule")
			} else {
				c.schedule(*k.Schedule, at+".schedule")
			}
		} else if k.Sensor == nil {
			c.conflict("a "+string(k.Kind)+" control needs a sensor to act on", at+".sensor")
		}
		c.controlSensor(k, at)
		if k.RunLimitMin != nil && k.Kind != TopOff {
			c.conflict("a run limit belongs to a top-off control", at+".run_limit_min", at+".kind")
		}
		for j, out := range k.Outputs {
			path := fmt.Sprintf("%s.outputs[%d]", at, j)
			if !c.canDrive(k.Kind, out) {
				c.unknown(out, path, drives[k.Kind].name)
				continue
			}
			if slices.Contains(k.Outputs[:j], out) {
				c.conflict(fmt.Sprintf("%q is named twice", out), path)
			}
			if k.Kind == Supervisor {
				continue
			}
			if other, taken := driver[out]; taken {
				c.conflict(fmt.Sprintf("%q is driven by two controls, which would fight; "+
					"let one drive it and make the other a supervisor that cuts it", out), other, path)
				continue
			}
			driver[out] = path
		}
	}
}

func (c *checker) controlSensor(k Control, at string) {
	if k.Kind == Supervisor && k.When == nil {
		c.conflict("a supervisor needs to know on which reading it cuts", at+".when")
	}
	if k.Kind != Supervisor && (k.When != nil || k.ThresholdC != nil) {
		c.conflict("only a supervisor has when and threshold_c; a regulating control has setpoint_c", at+".when",
			at+".kind")
	}
	regulates := k.Kind == Heating || k.Kind == Cooling
	if regulates != (k.SetpointC != nil) {
		c.conflict("a heating or cooling control needs setpoint_c, and no other may have it", at+".setpoint_c",
			at+".kind")
	}
	switch {
	case k.Sensor == nil:
	case k.Kind == Timer:
		c.conflict("a timer reads no sensor", at+".sensor", at+".kind")
	case k.Kind != Supervisor:
		c.regulatingSensor(k, at)
	case k.When != nil:
		c.reading(*k.Sensor, *k.When, k.ThresholdC, at)
	}
}

func (c *checker) regulatingSensor(k Control, at string) {
	s, ok := c.sensor(*k.Sensor)
	want := TemperatureKind
	if k.Kind == TopOff {
		want = LevelKind
	}
	switch {
	case !ok:
		c.unknown(*k.Sensor, at+".sensor", "a sensor")
	case s.Kind != want || s.Reservoir != nil:
		c.conflict(fmt.Sprintf("a %s control reads a %s sensor in the tank's water", k.Kind, want), at+".sensor",
			at+".kind")
	}
}

// drives is what a control of a kind may have as outputs.
var drives = map[ControlKind]struct {
	name  string
	lists []string
}{
	Heating: {"a heater", []string{"heaters"}},
	Cooling: {"a chiller or fan", []string{"chillers", "fans"}},
	TopOff:  {"a top-off pump", []string{"top_off_pumps"}},
	Timer:   {"a device", []string{"heaters", "chillers", "fans", "pumps", "top_off_pumps", "lights"}},
	Supervisor: {"a device or another control",
		[]string{"heaters", "chillers", "fans", "pumps", "top_off_pumps", "lights", "controls"}},
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
			c.conflict("these controls switch each other in a circle; break it",
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
