package sim

import "math"

// How closely changes are looked at.
const (
	changeStepS   = 1200.0
	changeWithinS = 3600.0
	changeSteps   = changeWithinS / changeStepS
)

// changed returns when a quantity of the display had first changed by so much within an hour, s, or Never.
func (c *Course) changed(q Quantity, by float64) float64 {
	if c.bound[q][1]-c.bound[q][0] < by { // it never gets so far at all
		return Never
	}
	trace := c.trace(q)
	for i, now := range trace {
		if math.Abs(now-trace[max(0, i-changeSteps)]) >= by {
			return float64(i) * changeStepS
		}
	}
	return Never
}

// greatestChange returns the most that a quantity of the display changes within an hour.
func (c *Course) greatestChange(q Quantity) (most float64) {
	trace := c.trace(q)
	for i, now := range trace {
		most = max(most, math.Abs(now-trace[max(0, i-changeSteps)]))
	}
	return most
}

// trace returns a quantity of the display every twenty minutes.
func (c *Course) trace(q Quantity) []float64 {
	if c.traces[q] != nil {
		return c.traces[q]
	}
	trace := []float64{c.start.value(&Comparator{Quantity: q})}
	for i := range c.Segments {
		g := &c.Segments[i]
		for at := changeStepS * float64(len(trace)); at <= g.StartS+g.LengthS; at = changeStepS * float64(len(trace)) {
			if q == Salinity {
				trace = append(trace, g.salinityAt(at-g.StartS))
			} else {
				trace = append(trace, g.temp[Display].At(at-g.StartS))
			}
		}
	}
	c.traces[q] = trace
	return trace
}
