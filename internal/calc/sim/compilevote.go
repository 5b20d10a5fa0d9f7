package sim

import "saltwright/internal/calc/plan"

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
			r.Condition = c.reading(id, plan.Wet, nil)
		}
		x.Differ = append(x.Differ, r)
	}
}
