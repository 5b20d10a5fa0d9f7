package sim

import "math"

// covers tells whether a second of the day is in these hours.
func (h *Hours) covers(second float64) bool {
	if h.FromS <= h.ToS {
		return second >= h.FromS && second < h.ToS
	}
	return second >= h.FromS || second < h.ToS
}

// daily returns when these hours are on.
func (c *Course) daily(h *Hours) timeline {
	now := math.Mod(c.second, daySeconds)
	out := always(h.covers(now))
	for midnight := -now; midnight < c.EndS; midnight += daySeconds {
		for _, at := range []float64{min(h.FromS, h.ToS), max(h.FromS, h.ToS)} {
			if midnight+at > 0 {
				out.set(at == h.FromS, midnight+at)
			}
		}
	}
	return out.upTo(c.EndS)
}
