package sim

import (
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/quantity"
)

// watch returns the eye that an alarm has on a device or a control.
func (c *compiler) watch(a plan.Alarm) *Watch {
	w := &Watch{Device: -1, Control: -1}
	if device, ok := c.device[a.Watches]; ok {
		w.Device = device
	} else {
		w.Control = c.ctl[a.Watches]
	}
	switch a.When {
	case plan.RunsLong:
		w.Kind, w.Seconds = RunsLong, *a.RunsMin*60
	case plan.StartsOften:
		w.Kind, w.Starts, w.Seconds = StartsOften, *a.Starts, *a.WithinH*quantity.SecondsPerHour
	case plan.StandsStill:
		w.Kind, w.Seconds = StandsStill, *a.WithinH*quantity.SecondsPerHour
	}
	return w
}
