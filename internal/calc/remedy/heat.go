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
	spareBelowK    = 0.7  // a spare heater's thermostat, below the set-point
	smallerNeed    = 1.25 // of what the coldest room takes
)

// stockW are sizes of heaters that are sold.
var stockW = []float64{25, 50, 75, 100, 150, 200, 250, 300, 400, 500, 600, 800, 1000}

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
	c.guardsApart()
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

// guardsApart lets a guard cut by itself what it has cut through a contactor: that regulates, too, or nothing would
// drive it.
func (c *candidates) guardsApart() {
	for _, x := range given(c.p.Contactors, c.sent.Contactors) {
		drives := func(k plan.Control) bool { return slices.Contains(k.Outputs, x.ID) }
		for i, k := range given(c.p.Controls, c.sent.Controls) {
			if k.Kind != plan.Supervisor || !drives(k) {
				continue
			}
			c.add("guard_apart", text.Of("remedy_guard_apart", text.Params{"id": k.ID, "contactor": x.ID}),
				func(p *plan.Plan) {
					outputs := slices.DeleteFunc(slices.Clone(p.Controls[i].Outputs),
						func(id string) bool { return id == x.ID || slices.Contains(x.Outputs, id) })
					p.Controls[i].Outputs = append(outputs, x.Outputs...)
				})
		}
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

// smallerHeaters cuts what all heaters together can give to what the coldest room takes, with some to spare.
func (c *candidates) smallerHeaters() {
	heaters := given(c.p.Heaters, c.sent.Heaters)
	each := smallerNeed * c.heatNeedW() / float64(len(heaters))
	i := slices.IndexFunc(stockW, func(w float64) bool { return w >= each })
	if i < 0 { // more than is sold, or for no heater at all
		return
	}
	for _, size := range stockW[i:min(i+2, len(stockW))] {
		largest := 0.0
		for _, h := range heaters {
			largest = math.Max(largest, h.PowerW)
		}
		if largest > size {
			c.add("smaller_heaters", text.Of("remedy_smaller_heaters",
				text.Params{"count": len(heaters), "power": size}), func(p *plan.Plan) {
				for k := range heaters {
					p.Heaters[k].PowerW = math.Min(p.Heaters[k].PowerW, size)
				}
			})
		}
	}
}

// fullDuty is a share of the time that a heater runs which is at its end; common practice, no source.
const fullDuty = 0.95

// heatNeedW is what the heating gives on average in the room that takes most, or would have to where that is all it
// has.
func (c *candidates) heatNeedW() float64 {
	need := 0.0
	for _, n := range c.report.Nominal {
		watts, full := 0.0, false
		for _, d := range n.Devices[:min(len(c.p.Heaters), len(n.Devices))] {
			watts += d.KWhPerDay * 1000 / 24
			full = full || d.DutyShare > fullDuty
		}
		if above := n.Extremes.TempMinC - n.TempC; full && above > 0 { // losses go with the difference to the room
			watts *= (c.setpointC() - n.TempC) / above
		}
		need = math.Max(need, watts)
	}
	return need
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
