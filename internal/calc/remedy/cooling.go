package remedy

import (
	"math"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// The sizes of changes about cooling; all of them common practice, no source.
const (
	spareAboveK    = 0.5 // a spare cooler's set-point, above the usual one
	newFanW        = 10.0
	newFanMS       = 1.5
	newFanBandK    = 0.4
	sumpGuardC     = 30.0
	sumpGuardRoomK = 2.0 // at least this much above the set-point
)

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
