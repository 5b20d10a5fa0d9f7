package sim

import (
	"math"

	"saltwright/internal/calc/carbonate"
)

// Chemistry is how what is dissolved changes. All water, display and sump, is taken to be one mixture, also while the
// return stands. The equilibrium is that of the salinity and temperature at the start.
//
// Carbon is kept as what it would be at the carbon dioxide of the start, which is a straight line of alkalinity, and an
// excess over that. The excess goes away with the air by itself:
//
//	C = Tied·A + Apart·V + W;  dW/dt = sources - rate·W
//
// The rate is that of small excesses. Real exchange of an excess of carbon dioxide is faster, which is cautious; that
// of a lack is slower, at pH 8.8 about by half.
type Chemistry struct {
	Constants    carbonate.Constants
	KgPerL       float64
	MeqL         float64 // at the start, of alkalinity
	CalciumMmolL float64
	Tied         float64 // mmol of carbon to a meq of alkalinity at one carbon dioxide
	Apart        float64 // mmol/L of carbon besides
	StirredS     float64 // rate at which an excess goes away, 1/s, > 0
	StillS       float64
	// What the tank takes up, all of it, in a second. It stops for good when little alkalinity is left.
	UptakeMeqS, UptakeCalciumS, UptakeCarbonS float64
	StarvedMeqL                               float64
}

// Contents is what a litre of a reservoir brings, or a gram of gas.
type Contents struct {
	Salinity    float64 // practical
	Meq         float64 // of alkalinity
	CalciumMmol float64
	CarbonMmol  float64
}

// see returns what a keeper would measure of a water; concentrations in meq/L and mmol/L. Carbon dioxide beyond what the
// pure gas gives bubbles out and is counted as if it came back while there is room for it, which is cautious.
func (c *Chemistry) see(meqL, calciumMmolL, excessMmolL float64) carbonate.Seen {
	perKg := 1e-3 / c.KgPerL
	return c.Constants.Held(carbonate.Water{Alkalinity: meqL * perKg, Calcium: math.Max(0, calciumMmolL) * perKg,
		Carbon: (c.Tied*meqL + c.Apart + excessMmolL) * perKg})
}
