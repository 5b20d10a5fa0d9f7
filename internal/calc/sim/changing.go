package sim

import "math"

// changing is a concentration in a body of water that other water comes into and that is taken from.
//
//	V dS/dt = source - into·S;  V = V0 + grows·t
//
// What is taken out leaves with its concentration and so changes only the volume. Evaporation is taken as it stands at
// the beginning of the segment.
type changing struct {
	start   float64 // concentration
	source  float64 // amount a second
	into    float64 // L/s of water that comes in, less what evaporates
	grows   float64 // L/s
	volumeL float64
	pool    pool
}

// pool is the water that change pumps work in.
type pool uint8

const (
	allWater pool = iota
	sumpAlone
	displayHeldUp
)

// shows tells whether the display's salinity is this concentration.
func (c *changing) shows() bool { return c != nil && c.pool != sumpAlone }

// at returns the concentration so long after the beginning.
func (c *changing) at(seconds float64) float64 {
	turned := seconds / c.volumeL // ∫ dt/V
	if x := c.grows * turned; math.Abs(x) > 1e-9 {
		turned = math.Log1p(x) / c.grows
	}
	passed := turned
	if c.into != 0 {
		passed = -math.Expm1(-c.into*turned) / c.into
	}
	return c.start + (c.source-c.into*c.start)*passed
}
