package sim

import (
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/quantity"
)

// ways lists what alarms travel by, their own paths first.
func (c *compiler) ways() {
	network := Way{ID: string(plan.NetworkPath), Kind: Network, Circuit: -1}
	if id := c.p.Power.NetworkCircuit; id != nil {
		network.Circuit = c.circ[*id]
	}
	c.s.Ways = []Way{
		{ID: string(plan.AudiblePath), Kind: Audible, Circuit: -1}, network,
		{ID: string(plan.CellularPath), Kind: Cellular, Circuit: -1},
	}
	add := func(id string, kind Path, circuit string, batteryH float64) {
		c.s.Ways = append(c.s.Ways, Way{ID: id, Kind: kind, Circuit: c.circ[circuit],
			BatteryS: batteryH * quantity.SecondsPerHour})
	}
	for _, x := range c.p.Routers {
		add(x.ID, Network, *x.Circuit, x.BatteryH)
	}
	for _, x := range c.p.Modems {
		add(x.ID, Cellular, *x.Circuit, x.BatteryH)
	}
	for _, x := range c.p.Sirens {
		add(x.ID, Audible, *x.Circuit, x.BatteryH)
	}
}
