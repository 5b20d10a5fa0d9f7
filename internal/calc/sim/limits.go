package sim

// LimitOutcome says when a comfort edge and a harm limit were first crossed, s, or Never.
type LimitOutcome struct {
	ComfortS float64
	HarmS    float64 // the harm limit had been exceeded for its allowed time
}

// limitQuantity is what each limit watches; NoDark and NoLight are timed instead.
var limitQuantity = [LimitKinds]Quantity{
	Overheated: DisplayTemp, Chilled: DisplayTemp, Diluted: Salinity, Concentrated: Salinity,
	Flooded: Spill, RunDry: Level, Airless: Oxygen,
}

// Limits returns when the water crossed each limit.
//
// Accuracy: rounding. Errors: none. Source: [Derived].
func (c *Course) Limits() [LimitKinds]LimitOutcome {
	var out [LimitKinds]LimitOutcome
	for k := range LimitKinds {
		out[k] = LimitOutcome{Never, Never}
		l := &c.s.Limits[k]
		switch {
		case !l.Active:
		case k == NoDark:
			lit := c.lit()
			out[k] = LimitOutcome{lit.lasting(l.Comfort, c.EndS), lit.lasting(l.Harm, c.EndS)}
		case k == NoLight:
			dark := c.lit().not()
			out[k] = LimitOutcome{dark.lasting(l.Comfort, c.EndS), dark.lasting(l.Harm, c.EndS)}
		default:
			out[k] = LimitOutcome{
				c.beyond(k, l.Comfort).lasting(0, c.EndS), c.beyond(k, l.Harm).lasting(l.HarmAfterS, c.EndS),
			}
		}
	}
	if dry := &out[RunDry]; c.s.Limits[RunDry].Active && c.airless != Never {
		dry.HarmS, dry.ComfortS = earlier(dry.HarmS, c.airless), earlier(dry.ComfortS, c.airless)
	}
	return out
}

// earlier returns the earlier of an instant or Never and another.
func earlier(at, other float64) float64 {
	if at == Never {
		return other
	}
	return min(at, other)
}

// beyond returns when a quantity was past a limit.
func (c *Course) beyond(k LimitKind, limit float64) timeline {
	q := &Comparator{Quantity: limitQuantity[k]}
	if k == Overheated || k == Concentrated || k == Flooded {
		return c.compared(q, comparing{low: limit - limitBand, high: limit}.from(c.start.value(q)))
	}
	p := comparing{state: true, low: limit, high: limit + limitBand}
	return c.compared(q, p.from(c.start.value(q))).not()
}
