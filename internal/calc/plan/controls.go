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
				c.unknown(out, path, drives(k.Kind))
				continue
			}
			if slices.Contains(k.Outputs[:j], out) {
				c.conflict(fmt.Sprintf("%q is named twice", out), path)
			}
			if k.Kind == Supervisor {
				continue
			}
			if other, taken := driver[out]; taken {
				c.conflict(fmt.Sprintf("%q is driven by two controls, which would fight; let one drive it and make the other a supervisor that cuts it", out), other, path)
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
		c.conflict("only a supervisor has when and threshold_c; a regulating control has setpoint_c", at+".when", at+".kind")
	}
	regulates := k.Kind == Heating || k.Kind == Cooling
	if regulates != (k.SetpointC != nil) {
		c.conflict("a heating or cooling control needs setpoint_c, and no other may have it", at+".setpoint_c", at+".kind")
	}
	if k.Sensor == nil || k.Kind == Timer {
		if k.Sensor != nil {
			c.conflict("a timer reads no sensor", at+".sensor", at+".kind")
		}
		return
	}
	if k.Kind == Supervisor {
		if k.When != nil {
			c.reading(*k.Sensor, *k.When, k.ThresholdC, at)
		}
		return
	}
	s, ok := c.sensor(*k.Sensor)
	want := TemperatureKind
	if k.Kind == TopOff {
		want = LevelKind
	}
	switch {
	case !ok:
		c.unknown(*k.Sensor, at+".sensor", "a sensor")
	case s.Kind != want || s.Reservoir != nil:
		c.conflict(fmt.Sprintf("a %s control reads a %s sensor in the tank's water", k.Kind, want), at+".sensor", at+".kind")
	}
}

func drives(kind ControlKind) string {
	switch kind {
	case Heating:
		return "a heater"
	case Cooling:
		return "a chiller or fan"
	case TopOff:
		return "a top-off pump"
	case Timer:
		return "a device"
	default:
		return "a device or another control"
	}
}

func (c *checker) canDrive(kind ControlKind, id string) bool {
	where := c.ids[id]
	is := func(lists ...string) bool {
		return slices.ContainsFunc(lists, func(l string) bool { return strings.HasPrefix(where, l+"[") })
	}
	switch kind {
	case Heating:
		return is("heaters")
	case Cooling:
		return is("chillers", "fans")
	case TopOff:
		return is("top_off_pumps")
	case Timer:
		return is("heaters", "chillers", "fans", "pumps", "top_off_pumps", "lights")
	default:
		return is("heaters", "chillers", "fans", "pumps", "top_off_pumps", "lights", "controls")
	}
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
			c.conflict("these controls switch each other in a circle; break it", trail[slices.Index(trail, trail[len(trail)-1]):len(trail)-1]...)
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
