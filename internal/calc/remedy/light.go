package remedy

import (
	"slices"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// The night that a lamp is given; common practice, no source.
const (
	lampOnAt, lampOffAt   plan.ClockTime = "10:00", "20:00"
	timerOnAt, timerOffAt plan.ClockTime = "09:30", "20:30"
	lampRampMin                          = 60.0
)

func day(on, off plan.ClockTime, rampMin float64) *plan.Schedule {
	return &plan.Schedule{OnAt: &on, OffAt: &off, RampMin: rampMin}
}

func (c *candidates) noDark() {
	if !c.has("no_dark") {
		return
	}
	for i, l := range given(c.p.Lights, c.sent.Lights) {
		if l.Schedule == nil {
			c.add("lamp_schedule", text.Of("remedy_lamp_schedule", text.Params{
				"id": l.ID, "on": string(lampOnAt), "off": string(lampOffAt)}),
				func(p *plan.Plan) { p.Lights[i].Schedule = day(lampOnAt, lampOffAt, lampRampMin) })
		} else {
			c.add("dark_night", text.Of("remedy_dark_night", text.Params{
				"id": l.ID, "on": string(lampOnAt), "off": string(lampOffAt), "ramp": lampRampMin}),
				func(p *plan.Plan) { p.Lights[i].Schedule = day(lampOnAt, lampOffAt, lampRampMin) })
		}
	}
	lamp := func(id string) bool {
		return slices.ContainsFunc(c.p.Lights, func(l plan.Light) bool { return l.ID == id })
	}
	for i, k := range given(c.p.Controls, c.sent.Controls) {
		if k.Kind == plan.Timer && slices.ContainsFunc(k.Outputs, lamp) {
			c.add("shorter_timer", text.Of("remedy_shorter_timer",
				text.Params{"id": k.ID, "on": string(timerOnAt), "off": string(timerOffAt)}),
				func(p *plan.Plan) { p.Controls[i].Schedule = day(timerOnAt, timerOffAt, 0) })
		}
	}
	for _, l := range given(c.p.Lights, c.sent.Lights) {
		driven := slices.ContainsFunc(c.p.Controls, func(k plan.Control) bool {
			return k.Kind != plan.Supervisor && slices.Contains(k.Outputs, l.ID)
		})
		if l.Schedule != nil && !driven {
			c.add("second_timer", text.Of("remedy_second_timer",
				text.Params{"id": l.ID, "on": string(timerOnAt), "off": string(timerOffAt)}),
				func(p *plan.Plan) {
					timer := plan.NewControl(plan.FreeID(*p, "lamp-timer"), plan.Timer, l.ID)
					timer.Schedule = day(timerOnAt, timerOffAt, 0)
					p.Controls = append(p.Controls, timer)
				})
		}
	}
}
