package sim

import "math"

// Chamber is the geometry of the water whose level moves: the return chamber of
// the sump, or the display itself where there is no sump. Heights are
// millimetres above the normal line (negative below), volumes litres above it.
type Chamber struct {
	AreaM2     float64 // area up to BaffleMM, > 0
	BaffleMM   float64 // above this the whole sump rises, >= 0
	WideAreaM2 float64 // area above BaffleMM, >= AreaM2
	IntakeMM   float64 // the pump draws air at this height, < 0
	FloorMM    float64 // no water stands below, <= IntakeMM
	RimMM      float64 // water spills above this height, > 0
}

// VolumeAtL returns the litres between the normal line and a height.
//
//	V = A·h below the baffle, A·baffle + A_wide·(h - baffle) above it
//
//	heightMM  height above the normal line, negative below  [mm]
//	V         volume                                        [L]
//
// Accuracy: exact for vertical walls. Errors: none. Source: [Derived].
func (c Chamber) VolumeAtL(heightMM float64) float64 {
	if heightMM <= c.BaffleMM {
		return c.AreaM2 * heightMM // m² · mm = L
	}
	return c.AreaM2*c.BaffleMM + c.WideAreaM2*(heightMM-c.BaffleMM)
}

// HeightAtMM returns the height of the water above the normal line; it undoes VolumeAtL down to the floor. In a chamber
// that has fallen dry, what more is lost is missing from the water before the last baffle.
//
//	volumeL  litres above the normal line, negative below  [L]
//	h        height                                        [mm]
//
// Accuracy: exact for vertical walls. Errors: none. Source: [Derived].
func (c Chamber) HeightAtMM(volumeL float64) float64 {
	if v := c.AreaM2 * c.BaffleMM; volumeL > v {
		return c.BaffleMM + (volumeL-v)/c.WideAreaM2
	}
	return math.Max(c.FloorMM, volumeL/c.AreaM2)
}
