package plan

import (
	"fmt"
	"slices"

	"saltwright/internal/calc/text"
)

func (c *checker) duplicates() {
	seen := map[string]string{}
	for _, e := range elementsOf(&c.p) {
		if first, taken := seen[*e.id]; taken {
			c.conflict(text.Of("plan_id_twice", text.Params{"id": *e.id}),
				first+".id", e.path+".id")
			continue
		}
		seen[*e.id] = e.path
	}
}

func (c *checker) devices() {
	for i, e := range c.p.Heaters {
		c.place(e.Place, fmt.Sprintf("heaters[%d]", i))
	}
	for i, e := range c.p.Chillers {
		c.place(e.Place, fmt.Sprintf("chillers[%d]", i))
	}
	returns := []string{}
	for i, e := range c.p.Pumps {
		if e.Role == ReturnRole {
			returns = append(returns, fmt.Sprintf("pumps[%d].role", i))
		}
	}
	if c.p.Sump == nil && len(returns) > 0 {
		c.conflict(text.Of("plan_return_needs_sump", nil),
			append(returns, "sump")...)
	}
	for i, e := range c.p.TopOffPumps {
		at := fmt.Sprintf("top_off_pumps[%d].", i)
		if e.PipeLimitLH != nil && e.FlowLH > *e.PipeLimitLH {
			c.conflict(text.Of("plan_pump_beyond_pipe", text.Params{"flow": e.FlowLH, "pipe": *e.PipeLimitLH}),
				at+"flow_l_h", at+"pipe_limit_l_h")
		}
		if c.reservoir(e.Reservoir) < 0 {
			c.unknown(e.Reservoir, at+"reservoir", "reservoir")
		}
	}
	for i, e := range c.p.Lights {
		if e.Schedule != nil {
			c.schedule(*e.Schedule, fmt.Sprintf("lights[%d].schedule", i))
		}
	}
}

// reservoir returns the place of a reservoir in its list, or -1.
func (c *checker) reservoir(id string) int {
	return slices.IndexFunc(c.p.Reservoirs, func(r Reservoir) bool { return r.ID == id })
}

func (c *checker) schedule(s Schedule, path string) {
	if err := s.Check(path); err != nil {
		c.errs = append(c.errs, err.(interface{ Unwrap() []error }).Unwrap()...)
	}
}

func (c *checker) sensors() {
	for i, s := range c.p.Sensors {
		at := fmt.Sprintf("sensors[%d]", i)
		c.place(s.Place, at)
		reservoir := s.Reservoir != nil || (s.Place != nil && *s.Place == InReservoir)
		switch {
		case reservoir && s.Kind != LevelKind:
			c.conflict(text.Of("plan_only_level_in_reservoir", nil), at+".kind", at+".reservoir")
		case reservoir && (s.Reservoir == nil || s.AtL == nil):
			c.conflict(text.Of("plan_reservoir_sensor_needs_mark", nil), at+".reservoir", at+".at_l")
		case s.Place != nil && (*s.Place == OnFloor) != (s.Kind == LeakKind):
			c.conflict(text.Of("plan_leak_sensor_on_floor", nil), at+".kind", at+".place")
		}
		if s.Reservoir != nil {
			if j := c.reservoir(*s.Reservoir); j < 0 {
				c.unknown(*s.Reservoir, at+".reservoir", "reservoir")
			} else if s.AtL != nil && *s.AtL >= c.p.Reservoirs[j].VolumeL {
				c.conflict(text.Of("plan_dry_even_when_full", nil), at+".at_l",
					fmt.Sprintf("reservoirs[%d].volume_l", j))
			}
		}
		c.lightSensor(s, at)
		c.flowSensor(s, at)
		if s.Kind == FlowKind && c.p.Sump == nil {
			c.conflict(text.Of("plan_flow_sensor_needs_sump", nil), at+".kind", "sump")
		}
	}
}

func (c *checker) circuits() {
	check := func(id *string, path string) {
		if id != nil && !c.p.Power.feeds(*id) {
			c.unknown(*id, path, "circuit")
		}
	}
	for _, e := range elementsOf(&c.p) {
		if e.circuit != nil {
			check(*e.circuit, e.path+".circuit")
		}
	}
	check(c.p.Power.NetworkCircuit, "power.network_circuit")
}

func (c *checker) attendance() {
	if _, ok := c.p.Attendance.LeavesAt.read(); !ok {
		c.conflict(notATime(c.p.Attendance.LeavesAt), "attendance.leaves_at")
	}
}

func (c *checker) worth() {
	if c.p.Worth == nil {
		return
	}
	named := map[Part]int{}
	for i, cost := range c.p.Worth.Costs {
		if first, twice := named[cost.Part]; twice {
			c.conflict(text.Of("plan_cost_named_twice", nil), fmt.Sprintf("worth.costs[%d].part", first),
				fmt.Sprintf("worth.costs[%d].part", i))
		}
		named[cost.Part] = i
	}
}
