package plan

import (
	"fmt"

	"saltwright/internal/calc/text"
)

func (c *checker) skimmers() {
	for i, x := range c.p.Skimmers {
		c.place(x.Place, fmt.Sprintf("skimmers[%d]", i))
	}
}

func (c *completion) skimmers() {
	for i := range c.p.Skimmers {
		assume(c, &c.p.Skimmers[i].Place, c.wetPlace(), fmt.Sprintf("skimmers[%d].place", i), "", WhyCommonPractice,
			text.Of("assumed_plan_skimmer_place", nil))
	}
}
