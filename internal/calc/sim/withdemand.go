package sim

// WithDemand returns the oxygen of a course as another demand would have taken it; nothing else of it may be asked. It
// begins as the stirred water stood, but not below what is comfortable: the animals lived well before.
//
//	demandMgLS  above 0  [mg/(L s)]
//
// Accuracy: as Run. Errors: none. Source: [Derived].
func (c *Course) WithDemand(demandMgLS float64) *Course {
	o := c.s.OxygenBalance
	now := max(o.SaturationMgL-demandMgLS/o.StirredS, min(c.s.Limits[Airless].Comfort, o.SaturationMgL))
	out := &Course{s: c.s, EndS: c.EndS, Truncated: c.Truncated, start: c.start}
	out.start.oxygen = now
	out.bound[Oxygen] = [2]float64{now, now}
	for i := range c.Segments { // those of one exchange are one
		g := &c.Segments[i]
		n := len(out.Segments)
		if n > 0 && out.Segments[n-1].oxygen.L[0] == g.oxygen.L[0] {
			out.Segments[n-1].LengthS = g.StartS + g.LengthS - out.Segments[n-1].StartS
			continue
		}
		if n > 0 {
			now = out.Segments[n-1].oxygen.At(out.Segments[n-1].LengthS)
		}
		end := o.SaturationMgL - demandMgLS/g.oxygen.L[0]
		x := Segment{StartS: g.StartS, LengthS: g.LengthS, oxygen: g.oxygen}
		x.oxygen.P[0], x.oxygen.B[0] = end, now-end
		x.bound[Oxygen] = [2]float64{min(now, end), max(now, end)}
		out.bound[Oxygen] = [2]float64{min(out.bound[Oxygen][0], end), max(out.bound[Oxygen][1], end)}
		out.Segments = append(out.Segments, x)
	}
	return out
}

// Airless returns when the water had been short of oxygen for so long that it harms, s, or Never.
//
// Accuracy: rounding. Errors: none. Source: [Derived].
func (c *Course) Airless() float64 {
	return c.meanwhile(c.passed(Airless, c.s.Limits[Airless].Harm))
}
