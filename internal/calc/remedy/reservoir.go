package remedy

import (
	"math"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

// The sizes of changes about reservoirs; all of them common practice, no source.
const (
	belowLineMM = 20.0 // how far a lowered one's full water stays below the end of its line
	spareWater  = 1.1  // times what evaporates
	// slowestTopOffLH is the slowest pump that is proposed.
	slowestTopOffLH = 0.5
)

// moreWater fills what evaporates while nobody is there, and some to spare.
func (c *candidates) moreWater() {
	if !c.has("concentrated", "run_dry") {
		return
	}
	evaporated := 0.0
	for _, n := range c.report.Nominal {
		evaporated = math.Max(evaporated, n.EvaporationLD)
	}
	days := *c.p.Attendance.LongestAbsenceH / quantity.HoursPerDay
	if len(c.p.TopOffPumps) == 0 {
		c.topOff(evaporated, math.Ceil(evaporated*days*spareWater))
	}
	for i, v := range given(c.p.Reservoirs, c.sent.Reservoirs) {
		l := math.Ceil(evaporated * days * spareWater / v.UsableShare)
		if l > v.VolumeL {
			c.add("larger_reservoir", text.Of("remedy_larger_reservoir", text.Params{
				"id": v.ID, "volume": l, "time": *c.p.Attendance.LongestAbsenceH}),
				func(p *plan.Plan) { p.Reservoirs[i].VolumeL = l })
		}
	}
}

// topOff replaces what evaporates where nothing does.
func (c *candidates) topOff(evaporatedLD, litres float64) {
	flow := math.Max(slowestTopOffLH, math.Ceil(10*pumpLHPerLD*evaporatedLD)/10)
	c.add("top_off", text.Of("remedy_top_off", text.Params{"flow": flow, "volume": litres}), func(p *plan.Plan) {
		reservoir := plan.NewReservoir(plan.FreeID(*p, "fresh-water"), litres)
		pump := plan.NewTopOffPump(plan.FreeID(*p, "top-off-pump"), flow, reservoir.ID)
		p.Reservoirs, p.TopOffPumps = append(p.Reservoirs, reservoir), append(p.TopOffPumps, pump)
		float := addSensor(p, plan.NewSensor("water-line", plan.LevelKind))
		k := plan.NewControl(plan.FreeID(*p, "top-off"), plan.TopOff, pump.ID)
		k.Sensor = &float
		p.Controls = append(p.Controls, k)
	})
}

// reservoirs stop what runs out of a reservoir by itself.
func (c *candidates) reservoirs() {
	if !c.has("diluted", "flooded", "salinity_shock") {
		return
	}
	for i, v := range given(c.p.Reservoirs, c.sent.Reservoirs) {
		head := v.FullMM() - *v.LineEndAboveWaterMM
		if head <= 0 {
			continue
		}
		if !v.SiphonBreak {
			c.take(*audit.SiphonBreak(v.ID))
		}
		lower := math.Ceil(head + belowLineMM)
		c.add("lower_reservoir", text.Of("remedy_lower_reservoir", text.Params{"id": v.ID, "by": lower}),
			func(p *plan.Plan) {
				x := &p.Reservoirs[i]
				if x.BottomAboveWaterMM != nil {
					x.BottomAboveWaterMM = new(*x.BottomAboveWaterMM - lower)
					return
				}
				x.WaterAboveOutletMM -= lower
			})
	}
}

// spill lets a leak sensor on the floor stop the top-off and call somebody.
func (c *candidates) spill() {
	if !c.has("flooded") {
		return
	}
	pumps := ids(given(c.p.TopOffPumps, c.sent.TopOffPumps), func(q plan.TopOffPump) string { return q.ID })
	c.add("leak_sensor", text.Of("remedy_leak_sensor", nil), func(p *plan.Plan) {
		id := addSensor(p, plan.NewSensor("floor", plan.LeakKind))
		a := ownAlarm("leak-alarm", plan.Wet)
		a.ID, a.Sensor = plan.FreeID(*p, a.ID), id
		p.Alarms = append(p.Alarms, a)
		if len(pumps) > 0 {
			addSupervisor(p, "leak-guard", id, plan.Wet, pumps)
		}
	})
}
