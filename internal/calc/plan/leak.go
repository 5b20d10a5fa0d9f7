package plan

import (
	"fmt"

	"saltwright/internal/calc/text"
)

// Leak is where water may run out: a seam or bulkhead of a vessel, or a hose of the return line.
type Leak struct {
	ID       string
	Kind     LeakWhere
	Place    *Place  // of a seam or bulkhead: display or sump, there its return chamber
	HeightMM float64 // from the normal water line of that vessel, below it negative; what is above runs out
	FlowLH   float64
}

// LeakWhere is what leaks.
type LeakWhere string

// What may leak.
const (
	SeamLeak     LeakWhere = "seam"
	BulkheadLeak LeakWhere = "bulkhead"
	HoseLeak     LeakWhere = "hose" // only while the return pump runs
)

func leakElements(all []element, p *Plan) []element {
	return listed(all, "leaks", p.Leaks, func(e *Leak) (*string, **string) { return &e.ID, nil })
}

func (c *checker) leaks() {
	for i, x := range c.p.Leaks {
		at := fmt.Sprintf("leaks[%d]", i)
		c.place(x.Place, at)
		if x.Kind == HoseLeak && c.p.Sump == nil {
			c.conflict(text.Of("plan_overflow_needs_sump", nil), at+".kind", "sump")
		}
	}
}

func (c *completion) leaks() {
	for i := range c.p.Leaks {
		assume(c, &c.p.Leaks[i].Place, InDisplay, fmt.Sprintf("leaks[%d].place", i), "", WhyCommonPractice,
			text.Of("assumed_plan_leak_in_display", nil))
	}
}
