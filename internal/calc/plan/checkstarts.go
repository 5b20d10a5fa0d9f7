package plan

import (
	"fmt"
	"slices"
	"strings"

	"saltwright/internal/calc/text"
)

// starts refuses what is said of the start of something that is no device, or twice.
func (c *checker) starts() {
	for i, x := range c.p.Power.Starts {
		at := fmt.Sprintf("power.starts[%d].element", i)
		first := slices.IndexFunc(c.p.Power.Starts, func(o Start) bool { return o.Element == x.Element })
		switch {
		case !c.draws(x.Element):
			c.unknown(x.Element, at, "device")
		case first < i:
			c.conflict(text.Of("plan_output_named_twice", text.Params{"id": x.Element}), at)
		}
	}
	for i, x := range c.p.Power.Circuits {
		if x.BreakerType != nil && x.BreakerA == nil {
			at := fmt.Sprintf("power.circuits[%d]", i)
			c.conflict(text.Of("plan_breaker_type_needs_rating", nil), at+".breaker_type", at+".breaker_a")
		}
	}
}

// draws tells whether an id is that of a device that draws power.
func (c *checker) draws(id string) bool {
	list, _, _ := strings.Cut(c.ids[id], "[")
	return slices.Contains(startLists, list)
}

// startLists are the lists of what starts with power.
var startLists = []string{
	"heaters", "chillers", "fans", "pumps", "top_off_pumps", "lights", "skimmers", "dosing_pumps", "change_pumps",
	"carbon_dioxide", "room_devices",
}
