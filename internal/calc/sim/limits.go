package sim

// limitQuantity is what each limit watches; NoDark and NoLight are timed instead.
var limitQuantity = [LimitKinds]Quantity{
	Overheated: DisplayTemp, Chilled: DisplayTemp, Diluted: Salinity, Concentrated: Salinity,
	Flooded: Spill, RunDry: Level, Airless: Oxygen,
}

// Discomforts returns when the water first left the comfort band of each kind, s, or Never.
//
// Accuracy: rounding. Errors: none. Source: [Derived].
func (c *Course) Discomforts() [LimitKinds]float64 {
	return c.crossed(func(l *Limit) (edge, seconds float64) { return l.Comfort, 0 })
}

// Harms returns when the water had first been past the harm limit of each kind for its allowed time, s, or Never.
//
// Accuracy: rounding. Errors: none. Source: [Derived].
func (c *Course) Harms() [LimitKinds]float64 {
	return c.crossed(func(l *Limit) (edge, seconds float64) { return l.Harm, l.HarmAfterS })
}

func (c *Course) crossed(limit func(*Limit) (edge, seconds float64)) (out [LimitKinds]float64) {
	for k := range LimitKinds {
		out[k] = Never
		if !c.s.Limits[k].Active {
			continue
		}
		switch edge, seconds := limit(&c.s.Limits[k]); k {
		case NoDark:
			out[k] = c.lit.lasting(edge, c.EndS)
		case NoLight:
			out[k] = c.lit.not().lasting(edge, c.EndS)
		default:
			past := c.past(k, edge, seconds)
			out[k] = past.lasting(seconds, c.EndS)
		}
	}
	if dry := &out[RunDry]; c.s.Limits[RunDry].Active && c.airless != Never && (*dry == Never || *dry > c.airless) {
		*dry = c.airless // rounding may keep the level just short of it
	}
	return out
}

// past returns when a quantity was past a limit, up to the first time that it was for so long.
func (c *Course) past(k LimitKind, limit, seconds float64) timeline {
	q := &Comparator{Quantity: limitQuantity[k]}
	if k == Overheated || k == Concentrated || k == Flooded {
		return c.compared(q, comparing{quantity: q.Quantity, low: limit - limitBand,
			high: limit}.from(c.start.value(q)), seconds)
	}
	p := comparing{quantity: q.Quantity, state: true, low: limit, high: limit + limitBand}
	return c.compared(q, p.from(c.start.value(q)), seconds).not()
}
