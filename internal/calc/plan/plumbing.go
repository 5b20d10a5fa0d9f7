package plan

import (
	"fmt"

	"saltwright/internal/calc/text"
)

func (c *checker) plumbing() {
	if c.p.Sump == nil && len(c.p.Overflows) > 0 {
		c.conflict(text.Of("plan_overflow_needs_sump", nil), "overflows")
	}
	if c.p.Sump == nil && len(c.p.ReturnLines) > 0 {
		c.conflict(text.Of("plan_overflow_needs_sump", nil), "return_lines")
	}
	for i, x := range c.p.ReturnLines {
		if depth := c.p.Display.WaterDepthMM; depth != nil && x.NozzleDepthMM >= *depth {
			c.conflict(text.Of("plan_nozzle_below_floor", nil), fmt.Sprintf("return_lines[%d].nozzle_depth_mm", i),
				"display.water_depth_mm")
		}
	}
}
