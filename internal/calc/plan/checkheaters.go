package plan

import (
	"fmt"

	"saltwright/internal/calc/text"
)

// heaterHeights refuses a heater below the floor of its place, and one that says what it does dry but not when.
func (c *checker) heaterHeights() {
	for i, h := range c.p.Heaters {
		at := fmt.Sprintf("heaters[%d]", i)
		if h.HeightMM == nil {
			if h.WhenDry != nil {
				c.conflict(text.Of("plan_when_dry_needs_height", nil), at+".height_mm", at+".when_dry")
			}
			continue
		}
		depth, member := *c.p.Display.WaterDepthMM, "display.water_depth_mm"
		if *h.Place == InSump {
			depth, member = c.p.Sump.WaterLevelMM, "sump.water_level_mm"
		}
		if *h.HeightMM <= -depth {
			c.conflict(text.Of("plan_heater_height_below_floor", text.Params{"depth": depth}), at+".height_mm", member)
		}
	}
}
