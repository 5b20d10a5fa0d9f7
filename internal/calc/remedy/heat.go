package remedy

import (
	"math"
	"slices"

	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// The sizes of changes about heat; all of them common practice, no source.
const (
	backstopSlackK = 0.3 // how far above the usual mark a thermostat may stand and still be left alone
	splitFromW     = 100 // a smaller heater is not split
	spareMargin    = 1.15
	spareStepW     = 25
	spareBelowK    = 0.7 // a spare heater's thermostat, below the set-point
)

// setpointC is what the heating holds.
func (c *candidates) setpointC() float64 {
	for _, k := range c.p.Controls {
		if k.Kind == plan.Heating {
			return *k.SetpointC
		}
	}
	return c.p.Limits.MiddleC()
}

func (c *candidates) overheated() {
	if !c.has("overheated") {
		return
	}
	mark := tenth(c.setpointC() + heat.UsualBackstopK)
	for i, h := range given(c.p.Heaters, c.sent.Heaters) {
		if h.ThermostatC == nil || *h.ThermostatC > mark+backstopSlackK {
			c.add("backstop", text.Of("remedy_backstop",
				text.Params{"id": h.ID, "mark": mark, "above": heat.UsualBackstopK}),
				func(p *plan.Plan) { p.Heaters[i].ThermostatC = &mark })
		}
		if h.PowerW >= splitFromW {
			c.split(i, h)
		}
	}
	c.smallerHeaters()
	heaters := ids(given(c.p.Heaters, c.sent.Heaters), func(h plan.Heater) string { return h.ID })
	if cutC := c.p.Limits.CutC(); len(heaters) > 0 {
		c.add("guard", text.Of("remedy_guard", text.Params{"cut": cutC}),
			func(p *plan.Plan) {
				probe := plan.NewSensor("guard-probe", plan.TemperatureKind)
				probe.Place = new(plan.InDisplay)
				guard := addSupervisor(p, "heat-guard", addSensor(p, probe), plan.Above, heaters)
				guard.ThresholdC, guard.OnSensorLoss = &cutC, plan.OnWithoutSensor
			})
	}
}

// split puts two heaters in the place of one.
func (c *candidates) split(i int, h plan.Heater) {
	half := math.Ceil(h.PowerW / 2)
	c.add("split_heater", text.Of("remedy_split_heater",
		text.Params{"id": h.ID, "power": h.PowerW, "half": half}), func(p *plan.Plan) {
		p.Heaters[i].PowerW = half
		second := plan.NewHeater(plan.FreeID(*p, h.ID+"-b"), half)
		second.Place, second.ThermostatC = h.Place, h.ThermostatC
		p.Heaters = append(p.Heaters, second)
		for k := range p.Controls {
			if outputs := p.Controls[k].Outputs; slices.Contains(outputs, h.ID) {
				p.Controls[k].Outputs = append(slices.Clone(outputs), second.ID)
			}
		}
	})
}

func (c *candidates) chilled() {
	if !c.has("chilled") {
		return
	}
	spare := plan.NewHeater("spare-heater",
		math.Max(spareStepW, spareStepW*math.Ceil(spareMargin*c.heatNeedW()/spareStepW)))
	spare.ThermostatC, spare.Circuit = new(tenth(c.setpointC()-spareBelowK)), c.otherCircuit()
	c.add("spare_heater", text.Of("remedy_spare_heater",
		text.Params{"power": spare.PowerW, "mark": *spare.ThermostatC}), func(p *plan.Plan) {
		heater := spare
		heater.ID = plan.FreeID(*p, spare.ID)
		p.Heaters = append(p.Heaters, heater)
	})
}
