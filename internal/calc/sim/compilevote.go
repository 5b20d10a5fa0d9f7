package sim

import (
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/quantity"
)

// vote returns the condition of what reads one sensor, or several by a rule.
//
//	above  it says yes of high readings
func (c *compiler) vote(ids []string, rule plan.Rule, above bool, reading func(id string) int) int {
	if len(ids) == 1 {
		return reading(ids[0])
	}
	v := Condition{Kind: Vote, Sensor: -1}
	switch {
	case rule == plan.Middle:
		v.Most = MoreThanHalf
	case rule == plan.Any, rule == plan.Lowest && !above, rule == plan.Highest && above:
		v.Most = One
	}
	for _, id := range ids {
		v.Of = append(v.Of, reading(id))
	}
	return c.condition(v)
}

// differ sets what an alarm on disagreement compares.
func (c *compiler) differ(a plan.Alarm, x *Alarm) {
	x.Condition = -1
	if a.DifferK != nil {
		x.DifferK = *a.DifferK
	}
	for _, id := range a.Sensors {
		i := c.sensor[id]
		r := Reader{Sensor: i, Condition: -1}
		if a.DifferK != nil {
			r.Quantity = temperatureAt(*c.p.Sensors[i].Place)
		} else {
			r.Condition = c.reading(id, plan.Wet, threshold{})
		}
		x.Differ = append(x.Differ, r)
	}
}

// threshold is the value at which something reads a sensor, in the unit of its kind.
type threshold struct{ c, pH, psu *float64 }

// of returns what a sensor's reading is compared with, and its dead band.
func (t threshold) of(x plan.Sensor) (q Quantity, value, band float64) {
	switch x.Kind {
	case plan.PHKind:
		return PH, *t.pH, readingBandPH
	case plan.ConductivityKind:
		return Salinity, *t.psu, readingBandPSU
	}
	return temperatureAt(*x.Place), *t.c, readingBandK
}

// reading returns the condition "the sensor reports when" of an alarm or supervisor.
func (c *compiler) reading(id string, when plan.When, at threshold) int {
	i := c.sensor[id]
	x := c.p.Sensors[i]
	switch when {
	case plan.Above:
		quantity, value, band := at.of(x)
		return c.condition(Condition{Sensor: i, Index: c.comparator(Comparator{
			Quantity: quantity, Low: value - band, High: value, Sensor: i,
		})})
	case plan.Below:
		quantity, value, band := at.of(x)
		return c.condition(Condition{Sensor: i, Negate: true, Index: c.comparator(Comparator{
			Quantity: quantity, Low: value, High: value + band, Sensor: i,
		})})
	case plan.NoFlow:
		flows := Condition{Kind: FlowRunning, Sensor: i, Negate: true}
		if x.LowFlowShare != nil {
			flows.LeastFlow = *x.LowFlowShare
		}
		return c.condition(flows)
	case plan.Lit, plan.Dark:
		return c.condition(Condition{Kind: LightSeen, Sensor: i, Negate: when == plan.Dark})
	case plan.NoPower:
		return c.condition(Condition{Kind: PowerPresent, Index: c.circ[*x.Circuit], Sensor: i, Negate: true})
	}
	if x.Kind == plan.LeakKind {
		return c.condition(Condition{Sensor: i,
			Index: c.comparator(Comparator{Quantity: Spill, High: wetFloorL, Sensor: i})})
	}
	return c.condition(Condition{Sensor: i, Negate: when == plan.Dry, Index: c.levelComparator(i)})
}

func (c *compiler) levelComparator(i int) int {
	x := c.p.Sensors[i]
	if c.p.Sump != nil && *x.Place == plan.InDisplay {
		area := *c.p.Display.LengthMM * *c.p.Display.WidthMM / quantity.SquareMMPerSquareMetre
		return c.comparator(Comparator{Quantity: DisplayLevel, Sensor: i,
			Low: area * (*x.HeightMM - x.HysteresisMM), High: area * *x.HeightMM})
	}
	if *x.Place == plan.InReservoir {
		// Wet until fewer than at_l usable litres are left.
		return c.comparator(Comparator{Quantity: Stored, Reservoir: c.res[*x.Reservoir], Low: *x.AtL,
			High: *x.AtL + minBandLevelL, Sensor: i})
	}
	return c.comparator(Comparator{
		Quantity: Level, Sensor: i,
		Low: c.s.Chamber.VolumeAtL(*x.HeightMM - x.HysteresisMM), High: c.s.Chamber.VolumeAtL(*x.HeightMM),
	})
}
