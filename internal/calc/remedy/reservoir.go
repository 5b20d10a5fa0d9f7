package remedy

import (
	"math"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// belowLineMM is how far a lowered reservoir's full water stays below the end of its line; common practice, no source.
const belowLineMM = 20.0

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
			c.add("siphon_break", text.Of("remedy_siphon_break", text.Params{"id": v.ID}),
				func(p *plan.Plan) { p.Reservoirs[i].SiphonBreak = true })
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
