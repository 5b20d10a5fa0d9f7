package audit

import (
	"slices"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
)

// crew are those whom alarms reach.
type crew struct {
	people  []plan.Person
	reached [][]bool // by person and way; of somebody who answers no alarm: by none
}

func newCrew(p plan.Plan, s *sim.System) crew {
	c := crew{people: p.People()}
	for _, x := range c.people {
		by := make([]bool, len(s.Ways))
		for i, w := range s.Ways {
			by[i] = x.CountedOn() && slices.Contains(x.ReachedBy, w.ID)
		}
		c.reached = append(c.reached, by)
	}
	return c
}

// firstOf returns when each alarm was first raised by any of its ways, s, or sim.Never.
func firstOf(raised [][]float64) []float64 {
	out := make([]float64, len(raised))
	for i, list := range raised {
		out[i] = sim.Never
		for _, at := range list {
			if out[i] == sim.Never || at != sim.Never && at < out[i] {
				out[i] = at
			}
		}
	}
	return out
}
