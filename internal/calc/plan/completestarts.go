package plan

import (
	"fmt"

	"saltwright/internal/calc/text"
)

// starts gives a breaker the type that opens soonest where something behind it takes more at first.
func (c *completion) starts() {
	for i := range c.p.Power.Circuits {
		x := &c.p.Power.Circuits[i]
		if x.BreakerA != nil && c.p.StartsHard(x.ID) {
			assume(c, &x.BreakerType, TypeB, fmt.Sprintf("power.circuits[%d].breaker_type", i), "", WhyCommonPractice,
				text.Of("assumed_plan_breaker_type", nil))
		}
	}
}
