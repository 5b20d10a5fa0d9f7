package remedy

import (
	"fmt"
	"slices"

	"saltwright/internal/calc/plan"
)

// The night that a lamp is given; common practice, no source.
const (
	lampOnAt, lampOffAt   plan.ClockTime = "10:00", "20:00"
	timerOnAt, timerOffAt plan.ClockTime = "09:30", "20:30"
	lampRampMin                          = 60
)

func day(on, off plan.ClockTime, rampMin float64) *plan.Schedule {
	return &plan.Schedule{OnAt: &on, OffAt: &off, RampMin: rampMin}
}

func (c *candidates) noDark() {
	if !c.has("no_dark") {
		return
	}
	for i, l := range given(c.p.Lights, c.sent.Lights) {
		if l.Schedule != nil {
			c.add("dark_night", fmt.Sprintf("Light %s from %s to %s with ramps of %d min, and leave it wholly dark at "+
				"night.",
				l.ID, lampOnAt, lampOffAt, lampRampMin),
				func(p *plan.Plan) { p.Lights[i].Schedule = day(lampOnAt, lampOffAt, lampRampMin) })
		}
	}
	lamp := func(id string) bool {
		return slices.ContainsFunc(c.p.Lights, func(l plan.Light) bool { return l.ID == id })
	}
	for i, k := range given(c.p.Controls, c.sent.Controls) {
		if k.Kind == plan.Timer && slices.ContainsFunc(k.Outputs, lamp) {
			c.add("shorter_timer", fmt.Sprintf("Let %s close at %s and open at %s.", k.ID, timerOnAt, timerOffAt),
				func(p *plan.Plan) { p.Controls[i].Schedule = day(timerOnAt, timerOffAt, 0) })
		}
	}
	for _, l := range given(c.p.Lights, c.sent.Lights) {
		driven := slices.ContainsFunc(c.p.Controls, func(k plan.Control) bool {
			return k.Kind != plan.Supervisor && slices.Contains(k.Outputs, l.ID)
		})
		if l.Schedule != nil && !driven {
			c.add("second_timer", fmt.Sprintf("Put %s behind a timer of its own, from %s to %s.", l.ID, timerOnAt,
				timerOffAt),
				func(p *plan.Plan) {
					timer := plan.NewControl(plan.FreeID(*p, "lamp-timer"), plan.Timer, l.ID)
					timer.Schedule = day(timerOnAt, timerOffAt, 0)
					p.Controls = append(p.Controls, timer)
				})
		}
	}
}
