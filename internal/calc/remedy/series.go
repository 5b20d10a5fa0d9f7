package remedy

import (
	"fmt"
	"math"
	"slices"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

// The values of controls in series; all of them common practice, no source.
const (
	seriesAboveK   = 0.4 // of a second heating control, above the first
	coolGuardShare = 0.5 // of the way from comfort to harm
	fillTimerAt    = 12  // o'clock
	fillTimerTimes = 1.5 // what evaporation takes
	leastFillMin   = 5.0
	mostFillMin    = 600.0
)

// series puts a second control before what one control alone switches: it runs only while both call.
func (c *candidates) series() {
	if c.has("overheated") {
		c.heatingInSeries()
	}
	if c.has("chilled") {
		c.coolingGuard()
	}
	if c.has("no_dark") {
		c.lampsInSeries()
	}
	if c.has("flooded", "diluted") {
		c.fillInSeries()
	}
}

func (c *candidates) heatingInSeries() {
	for _, k := range given(c.p.Controls, c.sent.Controls) {
		if k.Kind != plan.Heating || len(k.Outputs) == 0 {
			continue
		}
		mark := tenth(*k.SetpointC + seriesAboveK)
		c.add("control_in_series", text.Of("remedy_heating_in_series",
			text.Params{"devices": k.Outputs, "mark": mark}), func(p *plan.Plan) {
			probe := plan.NewSensor(k.ID+"-second-probe", plan.TemperatureKind)
			probe.Place = new(plan.InDisplay)
			id := addSensor(p, probe)
			second := plan.NewControl(plan.FreeID(*p, k.ID+"-second"), plan.Heating, slices.Clone(k.Outputs)...)
			second.Sensor, second.SetpointC, second.HysteresisK = &id, &mark, k.HysteresisK
			p.Controls = append(p.Controls, second)
		})
	}
}

// coolingGuard cuts all cooling before harm by cold.
func (c *candidates) coolingGuard() {
	coolers := ids(given(c.p.Chillers, c.sent.Chillers), func(x plan.Chiller) string { return x.ID })
	coolers = append(coolers, ids(given(c.p.Fans, c.sent.Fans), func(x plan.Fan) string { return x.ID })...)
	if len(coolers) == 0 {
		return
	}
	l := c.p.Limits
	cutC := tenth(*l.ComfortLowC + coolGuardShare*(*l.HarmLowC-*l.ComfortLowC))
	c.add("cool_guard", text.Of("remedy_cool_guard", text.Params{"cut": cutC}), func(p *plan.Plan) {
		probe := plan.NewSensor("cold-guard-probe", plan.TemperatureKind)
		probe.Place = new(plan.InDisplay)
		addSupervisor(p, "cold-guard", addSensor(p, probe), plan.Below, coolers).ThresholdC = &cutC
	})
}

func (c *candidates) lampsInSeries() {
	for _, l := range given(c.p.Lights, c.sent.Lights) {
		timed := slices.ContainsFunc(given(c.p.Controls, c.sent.Controls), func(k plan.Control) bool {
			return k.Kind == plan.Timer && slices.Contains(k.Outputs, l.ID)
		})
		if !timed {
			continue
		}
		c.add("timer_in_series", text.Of("remedy_timer_in_series",
			text.Params{"id": l.ID, "on": string(timerOnAt), "off": string(timerOffAt)}), func(p *plan.Plan) {
			addTimer(p, l.ID+"-second-timer", timerOnAt, timerOffAt, l.ID)
		})
	}
}

// fillInSeries lets a top-off pump run at one time of the day only, somewhat longer than evaporation takes.
func (c *candidates) fillInSeries() {
	evaporated := 0.0
	for _, n := range c.report.Nominal {
		evaporated = math.Max(evaporated, n.EvaporationLD)
	}
	for _, q := range given(c.p.TopOffPumps, c.sent.TopOffPumps) {
		runs := math.Max(leastFillMin, math.Ceil(fillTimerTimes*evaporated/q.FlowLH*quantity.MinutesPerHour))
		if runs > mostFillMin {
			continue
		}
		on, off := clock(fillTimerAt*quantity.MinutesPerHour), clock(fillTimerAt*quantity.MinutesPerHour+runs)
		c.add("timer_in_series", text.Of("remedy_fill_timer",
			text.Params{"id": q.ID, "on": string(on), "off": string(off)}), func(p *plan.Plan) {
			addTimer(p, q.ID+"-timer", on, off, q.ID)
		})
	}
}

// addTimer adds a timer under a free id.
func addTimer(p *plan.Plan, id string, on, off plan.ClockTime, outputs ...string) {
	k := plan.NewControl(plan.FreeID(*p, id), plan.Timer, outputs...)
	k.Schedule = day(on, off, 0)
	p.Controls = append(p.Controls, k)
}

// clock is so many minutes after midnight, of the same day.
func clock(minutes float64) plan.ClockTime {
	m := int(minutes)
	return plan.ClockTime(fmt.Sprintf("%02d:%02d", m/60, m%60))
}
