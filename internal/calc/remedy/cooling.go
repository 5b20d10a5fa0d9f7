package remedy

import (
	"math"
	"slices"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// The sizes of changes about cooling and of smaller heaters; all of them common practice, no source.
const (
	spareAboveK    = 0.5 // a spare cooler's set-point, above the usual one
	newFanW        = 10.0
	newFanMS       = 1.5
	smallerNeed    = 1.25 // of what the coldest room takes
	newFanBandK    = 0.4
	sumpGuardC     = 30.0
	sumpGuardRoomK = 2.0 // at least this much above the set-point
)

// stockW are sizes of heaters that are sold.
var stockW = []float64{25, 50, 75, 100, 150, 200, 250, 300, 400, 500, 600, 800, 1000}

// smallerHeaters cuts what all heaters together can give to what the coldest room takes, with some to spare.
func (c *candidates) smallerHeaters() {
	heaters := given(c.p.Heaters, c.sent.Heaters)
	if len(heaters) == 0 {
		return
	}
	each := smallerNeed * c.heatNeedW() / float64(len(heaters))
	i := slices.IndexFunc(stockW, func(w float64) bool { return w >= each })
	if i < 0 {
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

// heatNeedW is what the heating gives on average in the room that takes most.
func (c *candidates) heatNeedW() float64 {
	need := 0.0
	for _, n := range c.report.Nominal {
		watts := 0.0
		for _, d := range n.Devices[:min(len(c.p.Heaters), len(n.Devices))] {
			watts += d.KWhPerDay * 1000 / 24
		}
		need = math.Max(need, watts)
	}
	return need
}

// tooWarm adds cooling that does not hang on what may fail.
func (c *candidates) tooWarm() {
	if !c.has("overheated") {
		return
	}
	startC := *c.p.Limits.ComfortHighC
	for _, k := range c.p.Controls {
		if k.Kind == plan.Cooling {
			startC = *k.SetpointC + spareAboveK
		}
	}
	startC = tenth(startC)
	largest := plan.Chiller{}
	for _, x := range given(c.p.Chillers, c.sent.Chillers) {
		if x.CoolingW > largest.CoolingW {
			largest = x
		}
	}
	if largest.ID != "" {
		spare := largest
		spare.CoolingW, spare.PowerW = math.Ceil(spare.CoolingW/2), math.Ceil(spare.PowerW/2)
		spare.ThermostatC, spare.Circuit = &startC, c.otherCircuit()
		c.add("spare_chiller", text.Of("remedy_spare_chiller",
			text.Params{"power": spare.CoolingW, "mark": startC}), func(p *plan.Plan) {
			chiller := spare
			chiller.ID = plan.FreeID(*p, "spare-chiller")
			p.Chillers = append(p.Chillers, chiller)
		})
	}
	c.add("fan", text.Of("remedy_fan", text.Params{"mark": startC}), func(p *plan.Plan) {
		fan := plan.Fan{ID: plan.FreeID(*p, "fan"), AirSpeedMS: newFanMS, PowerW: newFanW, Circuit: c.otherCircuit()}
		p.Fans = append(p.Fans, fan)
		probe := plan.NewSensor("fan-probe", plan.TemperatureKind)
		probe.Place = new(plan.InDisplay)
		id := addSensor(p, probe)
		k := plan.NewControl(plan.FreeID(*p, "fan-control"), plan.Cooling, fan.ID)
		k.Sensor, k.SetpointC, k.HysteresisK = &id, &startC, newFanBandK
		p.Controls = append(p.Controls, k)
	})
}

// sumpOverheated guards the sump by itself: with the return stopped its heaters warm little water.
func (c *candidates) sumpOverheated() {
	heaters := ids(given(c.p.Heaters, c.sent.Heaters), func(h plan.Heater) string { return h.ID })
	if !c.has("sump_hot") || c.p.Sump == nil || len(heaters) == 0 {
		return
	}
	cutC := tenth(math.Max(sumpGuardC, c.setpointC()+sumpGuardRoomK))
	c.add("sump_guard", text.Of("remedy_sump_guard", text.Params{"cut": cutC}), func(p *plan.Plan) {
		probe := plan.NewSensor("sump-guard-probe", plan.TemperatureKind)
		probe.Place = new(plan.InSump)
		guard := addSupervisor(p, "sump-guard", addSensor(p, probe), plan.Above, heaters)
		guard.ThresholdC = &cutC
	})
}
