package sim

import "saltwright/internal/calc/plan"

const (
	maxEvents         = 20000 // of one run; a household's for nine days has some three hundred
	readingBandK      = 0.2   // dead band of an alarm or supervisor on a temperature, K; common practice, no source
	readingBandPH     = 0.03  // the same on a pH
	readingBandPSU    = 0.1   // and on a conductivity
	noLightComfortH   = 36.0  // a day without light has been noticed by then; common practice, no source
	comfortLevelShare = 0.5   // of the way from the normal line down to the intake; common practice, no source
	// Corals bleach when water a kelvin or more above the mean of their warmest month, here the upper edge of comfort,
	// adds up to 4 degree-weeks, and die at 8, over twelve weeks at sea. Source: [NOAACoralReefWatch].
	bleachesAboveK  = 1.0
	bleachingKWeeks = 4.0
	mortalityKWeeks = 8.0
	weekSeconds     = 7 * daySeconds

	wetFloorL = 1e-3 // the first drops
)

// compiler turns a completed plan into a System for one room.
type compiler struct {
	p      plan.Plan
	s      *System
	sensor map[string]int
	device map[string]int
	ctl    map[string]int
	circ   map[string]int
	res    map[string]int
}

func (c *compiler) comparator(x Comparator) int {
	c.s.Comparators = append(c.s.Comparators, x)
	return len(c.s.Comparators) - 1
}

func (c *compiler) condition(x Condition) int {
	c.s.Conditions = append(c.s.Conditions, x)
	return len(c.s.Conditions) - 1
}

func temperatureAt(place plan.Place) Quantity {
	if place == plan.InRoom {
		return RoomTemp
	}
	if place == plan.InSump {
		return SumpTemp
	}
	return DisplayTemp
}

func nodeOf(place plan.Place) int {
	if place == plan.InSump {
		return Sump
	}
	return Display
}
