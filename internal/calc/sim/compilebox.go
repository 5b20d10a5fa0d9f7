package sim

import (
	"slices"

	"saltwright/internal/calc/plan"
)

// restarts returns what a control does when its power comes back: what the box that holds it does.
func (c *compiler) restarts(control string) Restart {
	for _, b := range c.p.Boxes {
		if slices.Contains(b.Holds, control) {
			return map[plan.AfterRestart]Restart{
				plan.ByControls: Afresh, plan.AsBefore: AsBefore, plan.AllOff: StaysDown,
			}[b.AfterRestart]
		}
	}
	return Afresh
}
