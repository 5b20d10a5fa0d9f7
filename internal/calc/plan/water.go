package plan

import (
	"math"

	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
	"saltwright/internal/calc/topoff"
)

// InnerL returns what a display holds up to its water line, from its three inner lengths or the volume
// stated; 0 where it has neither.
//
// Accuracy: exact for a box. Errors: none. Source: [Derived].
func (v Vessel) InnerL() float64 {
	switch {
	case v.LengthMM != nil && v.WidthMM != nil && v.WaterDepthMM != nil:
		return *v.LengthMM * *v.WidthMM * *v.WaterDepthMM / quantity.CubicMMPerLitre
	case v.VolumeL != nil:
		return *v.VolumeL
	}
	return 0
}

// WaterL returns the water in the display of a completed plan: what it holds less rock and sand.
//
// Accuracy: exact for a box. Errors: none. Source: [Derived].
func (v Vessel) WaterL() float64 { return *v.VolumeL * (1 - v.RockShare) }

// WaterL returns the water in the sump of a completed plan with the return running: the return chamber
// stands at its running level and all that lies before the last baffle at the baffle's height.
//
// Accuracy: exact for a box. Errors: none. Source: [Derived].
func (s Sump) WaterL() float64 {
	whole := s.LengthMM * s.WidthMM / quantity.SquareMMPerSquareMetre // m², and m² · mm = L
	chamber := *s.ReturnChamberMM * s.WidthMM / quantity.SquareMMPerSquareMetre
	return chamber*s.WaterLevelMM + (whole-chamber)**s.BaffleMM
}

// intakeShareOfLevel is how high an intake usually stands, of the running level; common practice, no source.
const intakeShareOfLevel = 0.5

// UsualIntakeBelowMM returns how far below the running level the return pump's intake of a sump is taken to be.
//
// Accuracy: none is known. Errors: none. Source: [CommonPractice].
func (s Sump) UsualIntakeBelowMM() float64 { return (1 - intakeShareOfLevel) * s.WaterLevelMM }

// AreaM2 returns the floor of a completed plan's reservoir.
//
// Accuracy: exact for a box. Errors: none. Source: [Derived].
func (r Reservoir) AreaM2() float64 {
	return *r.LengthMM * *r.WidthMM / quantity.SquareMMPerSquareMetre
}

// FullMM returns where the full water of a completed plan's reservoir stands above the normal water line.
//
// Accuracy: exact for a box. Errors: none. Source: [Derived].
func (r Reservoir) FullMM() float64 { return *r.BottomAboveWaterMM + r.VolumeL/r.AreaM2() }

// HeatSystem returns the vessels of a completed plan as the heat balance knows them. A sump is as deep
// as its last baffle is high, for all its water but that of the return chamber stands there.
//
// Accuracy: exact for boxes, but that the return chamber's walls are taken to be wet up to the baffle.
// Errors: none. Source: [Derived].
func (p Plan) HeatSystem() heat.System {
	d := p.Display
	system := heat.System{
		Display: heat.Vessel{
			LengthMM: *d.LengthMM, WidthMM: *d.WidthMM, WaterDepthMM: *d.WaterDepthMM, FreeboardMM: d.FreeboardMM,
			WallMM: d.WallMM, Material: d.Material, Lid: d.Lid,
		},
		VolumeL: d.WaterL(), Salinity: quantity.PracticalSalinity(p.SalinityPSU),
	}
	if s := p.Sump; s != nil {
		system.Sump = &heat.Vessel{
			LengthMM: s.LengthMM, WidthMM: s.WidthMM, WaterDepthMM: *s.BaffleMM, FreeboardMM: s.HeightMM - *s.BaffleMM,
			WallMM: s.WallMM, Material: s.Material, Lid: s.Lid,
		}
		system.VolumeL += s.WaterL()
	}
	return system
}

// LowestMM returns where the water of a vessel of a completed plan comes to while pumps move it, from its normal line:
// down to the intake, or in a display over a sump to where the return lets it run back.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (p Plan) LowestMM(place Place) float64 {
	switch {
	case p.Sump == nil:
		return -p.Display.IntakeDropMM
	case place == InSump:
		return *p.Sump.ReturnIntakeMM - p.Sump.WaterLevelMM
	}
	low := p.Display.DrainBackMM
	for _, line := range p.ReturnLines {
		if !line.SiphonHole && !line.CheckValve {
			low = max(low, line.NozzleDepthMM)
		}
	}
	return -low
}

// HarmlessDilutionL returns the fresh water that brings a completed plan's water just to its low harm
// limit, spilling left out.
//
//	waterL  water in the whole tank [L]
//
// Accuracy: exact when volumes add. Errors: none. Source: [Derived].
func (p Plan) HarmlessDilutionL(waterL float64) float64 {
	return topoff.DilutionL(waterL, p.SalinityPSU, *p.Limits.HarmLowPSU)
}

// HeavyTankL is where a tank outweighs ordinary furniture, L; common practice, no source.
const HeavyTankL = 200

const (
	coldestBelowUsualK = 4.0  // common practice, no source
	warmestAboveUsualK = 6.0  // common practice, no source
	warmestLeastC      = 28.0 // a room without cooling reaches this in a hot spell; common practice, no source
)

// What is said where a room's other states are assumed.
var (
	ColdestAssumed = text.Of("assumed_coldest_room", text.Params{"difference": coldestBelowUsualK})
	WarmestAssumed = text.Of("assumed_warmest_room",
		text.Params{"difference": warmestAboveUsualK, "least": warmestLeastC})
)

// OtherRoomsC returns the coldest and the warmest state of a room of which only the usual one is known, °C.
//
//	coldest = usual - 4,  warmest = max(usual + 6, 28)
//
// Accuracy: none is known; ask for both. Errors: none. Source: [CommonPractice].
func OtherRoomsC(usualC float64) (coldestC, warmestC float64) {
	return usualC - coldestBelowUsualK, math.Max(usualC+warmestAboveUsualK, warmestLeastC)
}

// cutShare is how far from comfort to harm a second line cuts; common practice, no source.
const cutShare = 0.3

// MiddleC returns the middle of the comfort band of a completed plan, °C, to 0.1.
//
// Accuracy: none is known. Errors: none. Source: [CommonPractice].
func (l Limits) MiddleC() float64 { return tenth((*l.ComfortLowC + *l.ComfortHighC) / 2) }

// CutC returns where a supervisor cuts the heating of a completed plan, °C, to 0.1: 0.3 of the way
// from the upper edge of comfort to harm, so that neither a usual day nor a late probe decides.
//
// Accuracy: none is known. Errors: none. Source: [CommonPractice].
func (l Limits) CutC() float64 {
	return tenth(*l.ComfortHighC + cutShare*(*l.HarmHighC-*l.ComfortHighC))
}

func tenth(x float64) float64 { return math.Round(10*x) / 10 }
