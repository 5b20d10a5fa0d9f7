package remedy

import (
	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
)

// gear lowers heaters that run dry, and lets a full cup stop its skimmer.
func (c *candidates) gear() {
	if c.has("heater_dry") {
		for _, h := range given(c.p.Heaters, c.sent.Heaters) {
			low := c.p.LowestMM(*h.Place) - audit.CoverMM
			if h.HeightMM == nil || *h.HeightMM <= low || -low >= c.depthMM(*h.Place) {
				continue
			}
			c.take(*audit.LowerHeater(h.ID, low))
		}
	}
	if c.has("flooded", "diluted") {
		for _, x := range given(c.p.Skimmers, c.sent.Skimmers) {
			if x.FullCup == plan.CupSpills {
				c.take(*audit.CupStop(x.ID))
			}
		}
	}
}

// depthMM is how deep the water of a place is.
func (c *candidates) depthMM(place plan.Place) float64 {
	if place == plan.InSump {
		return c.p.Sump.WaterLevelMM
	}
	return *c.p.Display.WaterDepthMM
}
