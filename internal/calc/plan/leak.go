package plan

import (
	"fmt"

	"saltwright/internal/calc/text"
)

func (c *checker) leaks() {
	for i, x := range c.p.Leaks {
		at := fmt.Sprintf("leaks[%d]", i)
		c.place(x.Place, at)
		if x.Kind == HoseLeak && c.p.Sump == nil {
			c.conflict(text.Of("plan_overflow_needs_sump", nil), at+".kind")
		}
	}
}
