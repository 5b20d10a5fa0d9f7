package plan

import (
	"fmt"

	"saltwright/internal/calc/text"
)

// Overflow carries the return flow down from the display. With several, one that is blocked harms nothing.
type Overflow struct{ ID string }

// ReturnLine brings water back up. Its nozzle stands so far under the display's water line, and lets the display run
// back that far when the pump stops, unless a hole above it takes in air or a check valve holds.
type ReturnLine struct {
	ID            string
	NozzleDepthMM float64
	SiphonHole    bool
	CheckValve    bool
}

func plumbingElements(all []element, p *Plan) []element {
	all = listed(all, "overflows", p.Overflows, func(e *Overflow) (*string, **string) { return &e.ID, nil })
	return listed(all, "return_lines", p.ReturnLines, func(e *ReturnLine) (*string, **string) { return &e.ID, nil })
}

func (c *checker) plumbing() {
	if c.p.Sump == nil && len(c.p.Overflows) > 0 {
		c.conflict(text.Of("plan_overflow_needs_sump", nil), "overflows", "sump")
	}
	if c.p.Sump == nil && len(c.p.ReturnLines) > 0 {
		c.conflict(text.Of("plan_overflow_needs_sump", nil), "return_lines", "sump")
	}
	for i, x := range c.p.ReturnLines {
		if depth := c.p.Display.WaterDepthMM; depth != nil && x.NozzleDepthMM >= *depth {
			c.conflict(text.Of("plan_nozzle_below_floor", nil), fmt.Sprintf("return_lines[%d].nozzle_depth_mm", i),
				"display.water_depth_mm")
		}
	}
}
