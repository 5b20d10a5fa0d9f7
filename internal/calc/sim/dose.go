package sim

import "math"

// dosed returns when the dose of heat had come to so much, s, or Never.
//
//	∫ (T - over) dt while T >= from
func (c *Course) dosed(fromC, overC, amount float64) float64 {
	if amount == 0 || c.bound[DisplayTemp][1] < fromC {
		return Never
	}
	q := &Comparator{Quantity: DisplayTemp}
	counts := c.compared(q, comparing{quantity: DisplayTemp, low: fromC - limitBand,
		high: fromC}.from(c.start.value(q)), true, math.Inf(1))
	dose := 0.0
	for i := range c.Segments {
		g := &c.Segments[i]
		for from, to, found := counts.next(g.StartS, g.StartS+g.LengthS); found; from, to, found =
			counts.next(to, g.StartS+g.LengthS) {
			excess := g.temp[Display].Later(from - g.StartS)
			excess.P[0] -= overC
			sum := excess.IntegralFrom(dose)
			if t, ok := sum.FirstReaching(amount, true, to-from); ok {
				return from + t
			}
			dose = sum.At(to - from)
		}
	}
	return Never
}

// next returns the first stretch of yes between two instants; the length of none is nothing.
func (t timeline) next(from, end float64) (begins, ends float64, found bool) {
	yes, at := t.first, math.Inf(-1)
	for i := 0; i <= len(t.turns); i++ {
		until := math.Inf(1)
		if i < len(t.turns) {
			until = t.turns[i]
		}
		begins, ends = max(at, from), min(until, end)
		if yes && ends > begins {
			return begins, ends, true
		}
		yes, at = !yes, until
	}
	return 0, 0, false
}
