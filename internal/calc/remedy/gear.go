package remedy

import (
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// coverMM is how far under the lowest water a heater is hung; common practice, no source.
const coverMM = 15.0

// gear lowers heaters that run dry, and lets a full cup stop its skimmer.
func (c *candidates) gear() {
	if c.has("heater_dry") {
		for i, h := range given(c.p.Heaters, c.sent.Heaters) {
			low := c.p.LowestMM(*h.Place) - coverMM
			if h.HeightMM == nil || *h.HeightMM <= low || -low >= c.depthMM(*h.Place) {
				continue
			}
			c.add("lower_heater", text.Of("remedy_lower_heater", text.Params{"id": h.ID, "depth": -low}),
				func(p *plan.Plan) { p.Heaters[i].HeightMM = &low })
		}
	}
	if c.has("flooded", "diluted") {
		for i, x := range given(c.p.Skimmers, c.sent.Skimmers) {
			if x.FullCup == plan.CupSpills {
				c.add("cup_stop", text.Of("remedy_cup_stop", text.Params{"id": x.ID}),
					func(p *plan.Plan) { p.Skimmers[i].FullCup = plan.CupStops })
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
