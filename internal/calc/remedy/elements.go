package remedy

import (
	"slices"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// The values of new elements; all of them common practice, no source.
const (
	runsTooLongMin = 180.0 // a heater that is on for so long without a break is told of
)

// elements adds what is seldom thought of: an alarm that needs no probe, a second way down, a spare for the room.
func (c *candidates) elements() {
	if c.has("overheated") {
		c.runningAlarms()
	}
	if c.has("flooded", "run_dry") && len(c.sent.Overflows) == 1 {
		c.add("second_overflow", text.Of("remedy_second_overflow", nil), func(p *plan.Plan) {
			p.Overflows = append(p.Overflows, plan.Overflow{ID: plan.FreeID(*p, p.Overflows[0].ID+"-spare")})
		})
	}
	if !c.has("overheated", "chilled") {
		return
	}
	for _, x := range given(c.p.RoomDevices, c.sent.RoomDevices) {
		kind := func(o plan.RoomDevice) bool { return o.Kind == x.Kind && o.ID != x.ID }
		if slices.ContainsFunc(c.p.RoomDevices, kind) {
			continue
		}
		c.add("spare_room_device", text.Of("remedy_spare_room_device", text.Params{"id": x.ID}), func(p *plan.Plan) {
			i := slices.IndexFunc(p.RoomDevices, func(o plan.RoomDevice) bool { return o.ID == x.ID })
			spare := p.RoomDevices[i]
			spare.ID = plan.FreeID(*p, x.ID+"-spare")
			if other := c.p.Power.OtherCircuit(*x.Circuit); other != "" {
				spare.Circuit, spare.Supply = &other, nil
			}
			p.RoomDevices = append(p.RoomDevices, spare)
		})
	}
}

// runningAlarms watch how long a heater runs: no probe that lies and no control that hangs hides that.
func (c *candidates) runningAlarms() {
	for _, h := range given(c.p.Heaters, c.sent.Heaters) {
		c.add("running_alarm", text.Of("remedy_running_alarm",
			text.Params{"id": h.ID, "time": runsTooLongMin / 60}), func(p *plan.Plan) {
			a := ownAlarm("long-run-"+h.ID, plan.RunsLong)
			a.ID, a.Watches, a.RunsMin = plan.FreeID(*p, a.ID), h.ID, new(runsTooLongMin)
			p.Alarms = append(p.Alarms, a)
		})
	}
}
