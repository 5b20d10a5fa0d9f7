package bot

import (
	"math"
	"slices"

	"saltwright/clients/reading"
)

// claim is one quantity that a member may take.
type claim struct {
	reading.Quantity
	at       int // token
	said     string
	count    int
	relation string
}

// Scores of a number for a member. Tuned on the corpus.
const (
	anyScore      = 3.0 // a unit that belongs to this member
	everyScore    = 9.0 // after every
	specialBonus  = 2.0
	implausible   = 4.0
	leastScore    = 2.0
	leastBareRole = 6.0 // of a number without a unit
)

// mostAtOnce bounds how many numbers compete for members: 2 to the power of members times this many steps.
const mostAtOnce = 10

// scoreFor tells how likely a quantity is meant for a member, 0 when it is not.
func (h *heard) scoreFor(t *Topic, m Member, c *claim, us reading.System) float64 {
	if !m.takes(c.Unit) {
		return 0
	}
	role := h.role(c.at, m.Roles)
	if role > 0 && m.Special {
		role += specialBonus
	}
	score := role
	if m.Any {
		score = max(score, anyScore)
	}
	if m.Every {
		if c.relation == reading.Every {
			score = everyScore
		} else if !m.Any {
			return 0
		}
	}
	if c.Unit == nil && role < leastBareRole {
		return 0
	}
	value := c.Value
	if c.Unit == nil && reading.DimensionOf(m.Unit) == reading.Temperature {
		u := temperatureUnit(c.Value, us)
		if u == nil {
			return 0
		}
		value = reading.Quantity{Value: c.Value, Unit: u}.InContractUnit()
	} else if c.Unit != nil {
		value = c.In(m.Unit)
	}
	if m.From != m.To && (value < m.From || value > m.To) && (m.Unit != "psu") {
		score -= implausible
	}
	if score < leastScore {
		return 0
	}
	return score
}

// The temperatures that a bare number may stand for, of a room or of a tank: common practice, no source. Above the
// warmest in °C a number can only be °F.
const coldestPlausible, warmestPlausible = 0, 45

// temperatureUnit is the unit of a temperature without one: the unit of the rest of the question, where that makes one
// of a room or a tank, or °F where the number is too large for °C.
func temperatureUnit(value float64, system reading.System) *reading.Unit {
	c, f := reading.UnitOf("c"), reading.UnitOf("f")
	unit := map[reading.System]*reading.Unit{reading.Metric: c, reading.US: f}[system]
	if unit == nil && value > warmestPlausible {
		unit = f
	}
	if unit == nil {
		return nil
	}
	celsius := reading.Quantity{Value: value, Unit: unit}.InContractUnit()
	if celsius < coldestPlausible || celsius > warmestPlausible {
		return nil
	}
	return unit
}

// assignment gives each claim a member, or none.
type assignment struct {
	score   float64
	members []int // by claim; -1 for none
}

// assign finds the assignment of claims to members, each once, with the highest score.
func assign(scores [][]float64) assignment {
	if len(scores) == 0 {
		return assignment{}
	}
	members := len(scores[0])
	best := make([]map[uint32]assignment, len(scores)+1)
	best[0] = map[uint32]assignment{0: {}}
	for i, row := range scores {
		best[i+1] = map[uint32]assignment{}
		keep := func(used uint32, a assignment) {
			if old, ok := best[i+1][used]; !ok || a.score > old.score {
				best[i+1][used] = a
			}
		}
		for used, a := range best[i] {
			keep(used, assignment{a.score, append(slices.Clone(a.members), -1)})
			for m := range members {
				if row[m] > 0 && used&(1<<m) == 0 {
					// An earlier number wins a tie, so that the result does not depend on the order of a map.
					bonus := 1e-6 * float64(len(scores)-i) / float64(m+1)
					keep(used|1<<m, assignment{a.score + row[m] + bonus, append(slices.Clone(a.members), m)})
				}
			}
		}
	}
	out := assignment{score: -1}
	for _, a := range best[len(scores)] {
		if a.score > out.score {
			out = a
		}
	}
	return out
}

// volumeAgrees is how far a volume may be from that of the stated lengths, which may be outer ones of a tank that is
// not full: common practice, no source.
const volumeAgrees = 0.22

// agrees reports whether lengths hold a volume in litres.
func agrees(litres, stated float64) bool { return math.Abs(litres-stated) <= volumeAgrees*stated }

// boxUnit is the unit of a group of lengths without one: the only unit in which it holds the stated volume or, without
// a volume, the usual one of the system of the other numbers where that makes a tank.
func boxUnit(edges []reading.Quantity, volumes []float64, system reading.System) *reading.Unit {
	var fits []*reading.Unit
	longest := 0.0
	for _, e := range edges {
		longest = max(longest, e.Value)
	}
	for _, spelling := range []string{"in", "ft", "cm", "m"} {
		u := reading.UnitOf(spelling)
		litres := 1.0
		for _, e := range edges {
			litres *= reading.Quantity{Value: e.Value, Unit: u}.InContractUnit() / 100
		}
		for _, v := range volumes {
			if len(edges) == 3 && agrees(litres, v) {
				fits = append(fits, u)
			}
		}
	}
	switch {
	case len(fits) == 1:
		return fits[0]
	case len(volumes) > 0 && len(edges) == 3:
		return nil
	case system == reading.US && longest >= 10 && longest <= 96:
		return reading.UnitOf("in")
	case system == reading.Metric && longest >= 100 && longest <= 400:
		return reading.UnitOf("cm")
	}
	return nil
}
