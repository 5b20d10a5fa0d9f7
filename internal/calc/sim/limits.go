package sim

// limitQuantity is what each limit watches; NoDark and NoLight are timed instead.
var limitQuantity = [LimitKinds]Quantity{
	Overheated: DisplayTemp, Chilled: DisplayTemp, Diluted: Salinity, Concentrated: Salinity,
	Flooded: Spill, RunDry: Level, Airless: Oxygen, SumpHot: SumpTemp,
	AlkalinityLow: Alkalinity, AlkalinityHigh: Alkalinity, PHLow: PH, PHHigh: PH, Dissolving: Aragonite,
	FallingOut: Aragonite, MagnesiumLow: Magnesium, MagnesiumHigh: Magnesium,
}

// Discomforts returns when the water first left the comfort band of each kind, s, or Never.
//
// Accuracy: rounding. Errors: none. Source: [Derived].
func (c *Course) Discomforts() [LimitKinds]float64 {
	var out [LimitKinds]float64
	for k := range LimitKinds {
		out[k] = Never
		if c.s.Limits[k].Active {
			out[k] = c.passed(k, Edge{At: c.s.Limits[k].Comfort})
		}
	}
	out[HeaterDry] = c.firstBare()
	return out
}

// Harms returns when the water had first been past the harm limit of each kind for its allowed time, s, or Never; no
// later than the loss. What comes only as the course ends, when somebody is there, is none.
//
// Accuracy: rounding. Errors: none. Source: [NOAACoralReefWatch] for the dose of heat, [Derived] for the rest.
func (c *Course) Harms() [LimitKinds]float64 {
	out := c.crossed(func(l *Limit) []Edge { return []Edge{l.Harm} })
	out[HeaterDry] = c.firstRanDry()
	for k, lost := range c.Losses() {
		out[k] = sooner(out[k], lost)
	}
	d := &c.s.HeatDose
	out[Overheated] = sooner(out[Overheated], c.dosed(d.FromC, d.OverC, d.Harm))
	return out
}

// Losses returns when the water had first been past a limit of loss of each kind for its time, s, or Never.
//
// Accuracy: rounding. Errors: none. Source: [NOAACoralReefWatch] for the dose of heat, [Derived] for the rest.
func (c *Course) Losses() [LimitKinds]float64 {
	out := c.crossed(func(l *Limit) []Edge { return l.Losses })
	d := &c.s.HeatDose
	out[Overheated] = sooner(out[Overheated], c.dosed(d.FromC, d.OverC, d.Loss))
	return out
}

// sooner returns the earlier of two instants either of which may be Never.
func sooner(a, b float64) float64 {
	if a == Never || b != Never && b < a {
		return b
	}
	return a
}

// meanwhile is an instant unless it comes only as the course ends.
func (c *Course) meanwhile(at float64) float64 {
	if at < c.EndS-timeTolerance {
		return at
	}
	return Never
}

func (c *Course) crossed(limits func(*Limit) []Edge) (out [LimitKinds]float64) {
	for k := range LimitKinds {
		out[k] = Never
		if !c.s.Limits[k].Active {
			continue
		}
		for _, edge := range limits(&c.s.Limits[k]) {
			out[k] = sooner(out[k], c.meanwhile(c.passed(k, edge)))
		}
	}
	return out
}

// passed returns when one limit had first been exceeded for its time.
func (c *Course) passed(k LimitKind, edge Edge) float64 {
	switch k {
	case NoDark:
		return c.lit.lasting(edge.At, c.EndS)
	case NoLight:
		return c.lit.not().lasting(edge.At, c.EndS)
	case TemperatureShock:
		return c.changed(DisplayTemp, edge.At)
	case SalinityShock:
		return c.changed(Salinity, edge.At)
	}
	past := c.past(k, edge.At, edge.AfterS)
	at := past.lasting(edge.AfterS, c.EndS)
	if k == RunDry {
		at = sooner(at, c.airless) // rounding may keep the level just short of it
	}
	return at
}

// past returns when a quantity was past a limit, up to the first time that it was for so long.
func (c *Course) past(k LimitKind, limit, seconds float64) timeline {
	q := &Comparator{Quantity: limitQuantity[k]}
	switch k {
	case Overheated, Concentrated, Flooded, SumpHot, AlkalinityHigh, PHHigh, FallingOut,
		MagnesiumHigh:
		return c.compared(q, comparing{quantity: q.Quantity, low: limit - limitBand,
			high: limit}.from(c.start.value(q)), true, seconds)
	}
	p := comparing{quantity: q.Quantity, state: true, low: limit, high: limit + limitBand}
	return c.compared(q, p.from(c.start.value(q)), false, seconds).not()
}

// firstRanDry returns when the first heater ran dry and broke, s, or Never.
func (c *Course) firstRanDry() float64 {
	first := Never
	for _, at := range c.ranDry {
		first = sooner(first, c.meanwhile(at))
	}
	return first
}

// bare returns when a device first stood out of the water, running or not, s, or Never.
func (c *Course) bare(i int) float64 {
	d := &c.s.Devices[i]
	if d.Dry.Covered == 0 {
		return Never
	}
	covered := c.said(d.Dry.Covered-1, sensorFault{})
	return covered.not().lasting(0, c.EndS)
}

// firstBare returns when the first of all devices did.
func (c *Course) firstBare() float64 {
	first := Never
	for i := range c.s.Devices {
		first = sooner(first, c.bare(i))
	}
	return first
}
