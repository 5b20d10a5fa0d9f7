package remedy

import (
	"math"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// The sizes of changes about water; all of them common practice, no source.
const (
	containerShare   = 0.9  // of what does no harm
	pumpLHPerLD      = 0.2  // L/h of pump for each litre that evaporates a day: some five hours a day
	fasterThan       = 1.5  // times that, and the pump is worth throttling
	newRunLimitMin   = 15.0 // of a top-off control
	highFloatMM      = 12.0
	intakeShare      = 0.6  // of the intake's height
	levelShare       = 0.82 // of the sump's level
	drainBackMargin  = 1.1  // of room in the sump for what drains back
	squareMMPerLitre = 1e6  // a litre 1 mm deep
)

func (c *candidates) freshWater() {
	if !c.has("diluted", "flooded") {
		return
	}
	harmless := c.p.HarmlessDilutionL(c.report.Tank.DisplayL + c.report.Tank.SumpL)
	if c.has("flooded") {
		harmless = math.Min(harmless, c.report.Tank.FreeSumpL)
	}
	for i, v := range given(c.p.Reservoirs, c.sent.Reservoirs) {
		if l := math.Floor(containerShare * harmless); v.VolumeL > l && l > 0 {
			c.add("day_container", text.Of("remedy_day_container",
				text.Params{"id": v.ID, "volume": l}),
				func(p *plan.Plan) { p.Reservoirs[i].VolumeL = l })
		}
	}
	evaporated := 0.0
	for _, n := range c.report.Nominal {
		evaporated = math.Max(evaporated, n.EvaporationLD)
	}
	slow := math.Ceil(10*pumpLHPerLD*evaporated) / 10
	for i, q := range given(c.p.TopOffPumps, c.sent.TopOffPumps) {
		if q.FlowLH > fasterThan*slow && slow > 0 {
			c.add("slower_pump", text.Of("remedy_slower_pump",
				text.Params{"id": q.ID, "flow": slow, "evaporation": evaporated}),
				func(p *plan.Plan) { p.TopOffPumps[i].FlowLH = slow })
		}
	}
	for i, k := range given(c.p.Controls, c.sent.Controls) {
		if k.Kind == plan.TopOff && (k.RunLimitMin == nil || *k.RunLimitMin > newRunLimitMin) {
			c.add("run_limit", text.Of("remedy_run_limit",
				text.Params{"id": k.ID, "run": newRunLimitMin}),
				func(p *plan.Plan) { p.Controls[i].RunLimitMin = new(newRunLimitMin) })
		}
	}
	pumps := ids(given(c.p.TopOffPumps, c.sent.TopOffPumps), func(q plan.TopOffPump) string { return q.ID })
	if len(pumps) > 0 {
		c.add("second_level_sensor", text.Of("remedy_second_level_sensor",
			text.Params{"mark": highFloatMM}), func(p *plan.Plan) {
			float := plan.NewSensor("high-float", plan.LevelKind)
			float.HeightMM = new(highFloatMM)
			addSupervisor(p, "fill-guard", addSensor(p, float), plan.Wet, pumps)
		})
	}
}

func (c *candidates) sump() {
	s := c.p.Sump
	if s == nil {
		return
	}
	if c.has("flooded") {
		c.lowerLevel(*s)
		c.lessDrainBack()
	}
	if c.has("run_dry") {
		deeper := math.Round(intakeShare * *s.ReturnIntakeMM)
		c.add("deeper_intake", text.Of("remedy_deeper_intake",
			text.Params{"to": deeper, "from": *s.ReturnIntakeMM}),
			func(p *plan.Plan) { p.Sump.ReturnIntakeMM = &deeper })
	}
}

// lowerLevel makes room in the sump for what drains back: below the baffle only the return chamber's level moves.
func (c *candidates) lowerLevel(s plan.Sump) {
	missing := drainBackMargin*c.report.Tank.DrainBackL - c.report.Tank.FreeSumpL
	chamberMM2 := *s.ReturnChamberMM * s.WidthMM
	lower := math.Floor(math.Min(levelShare*s.WaterLevelMM, s.WaterLevelMM-missing*squareMMPerLitre/chamberMM2))
	if lower > *s.ReturnIntakeMM {
		c.add("lower_level", text.Of("remedy_lower_level",
			text.Params{"to": lower, "from": s.WaterLevelMM}), func(p *plan.Plan) { p.Sump.WaterLevelMM = lower })
	}
}

// lessDrainBack lets no more run down than the sump has room for.
func (c *candidates) lessDrainBack() {
	d := c.p.Display
	less := math.Floor(c.report.Tank.FreeSumpL / drainBackMargin * squareMMPerLitre / (*d.LengthMM * *d.WidthMM))
	if less < d.DrainBackMM && less >= 1 {
		c.add("less_drain_back", text.Of("remedy_less_drain_back",
			text.Params{"to": less, "from": d.DrainBackMM}),
			func(p *plan.Plan) { p.Display.DrainBackMM = less })
	}
}

func (c *candidates) air() {
	if !c.has("airless") && !(c.has("chilled") && c.unsound["mains.lost"]) {
		return
	}
	hours := c.p.Power.LongestOutageH
	for i, x := range given(c.p.Power.Circuits, c.sent.Power.Circuits) {
		if x.BackupH < hours {
			c.add("battery", text.Of("remedy_battery",
				text.Params{"circuit": x.ID, "time": hours}),
				func(p *plan.Plan) { p.Power.Circuits[i].BackupH = hours })
		}
	}
	if c.has("airless") {
		litres := c.report.Tank.DisplayL
		pump := plan.NewPump("stream", plan.CirculationRole, math.Round(6*litres),
			math.Max(3, math.Round(0.03*litres)))
		pump.Circuit = c.otherCircuit()
		c.add("second_stream", text.Of("remedy_second_stream", nil),
			func(p *plan.Plan) {
				second := pump
				second.ID = plan.FreeID(*p, pump.ID)
				p.Pumps = append(p.Pumps, second)
			})
	}
}
