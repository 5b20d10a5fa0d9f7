package evaporation

import (
	"math"

	"saltwright/internal/calc/moistair"
)

const (
	shahNatural = 35      // kg/(h m2) over (kg/m3)^(4/3). Source: [Shah2014].
	shahForced  = 0.00005 // kg/(h m2 Pa). Source: [Shah2014].
)

// Shah returns the evaporation from an undisturbed pool in quiet air by natural
// convection or by the room's air currents, whichever is larger.
//
//	w = A · c · max(35 · ρw · (ρr - ρw)^(1/3) · (Ww - Wr), 0.00005 · (pw - pr))
//
//	ρ  dry air in moist air, at the surface w and in the room r  [kg/m3]
//	W  humidity ratio, saturated over seawater at the surface     [1]
//	p  vapour pressure                                            [Pa]
//	w  evaporation, at least 0                                    [kg/h]
//
// The first term is 0 when the room air is not the denser one. Air speed is not
// in it: it holds to about 0.15 m/s. It is for sea level; Estimate carries it up. Estimate
// takes the same correlation; by itself it is called where it is held against published cases.
// Accuracy: measured still water in rooms of 18 to 28 °C comes out at 0.92 of it, scatter 6 %;
// the factor ρw and the dry-air density are from memory; moist-air density gives up to a third less.
// Errors: *calc.RangeError for any input outside its range.
// Source: [Shah2014]. Departure: seawater's activity lowers pw and Ww.
func Shah(s Surface) (float64, error) {
	v, err := s.vapour()
	if err != nil {
		return 0, err
	}
	dry, _, err := s.shah(v)
	return dry, err
}

// shah is the correlation in kg/h, with the density of the dry air, as published, and with that of the moist air,
// which is what lifts.
func (s Surface) shah(v vapour) (dry, moist float64, err error) {
	surface, err := moistair.MoistureOf(s.Water, v.surface, s.Air.Pressure)
	if err != nil {
		return 0, 0, err
	}
	room, err := moistair.MoistureOf(s.Air.Temp, v.air, s.Air.Pressure)
	if err != nil {
		return 0, 0, err
	}
	area := s.AreaM2 * s.LidFactor
	return area * shahFlux(v, surface, room, dryDensity), area * shahFlux(v, surface, room, moistDensity), nil
}

func dryDensity(m moistair.Moisture) float64   { return 1 / m.DryAirM3PerKg }
func moistDensity(m moistair.Moisture) float64 { return (1 + m.Ratio) / m.DryAirM3PerKg }

// shahFlux is the correlation for one square metre, in kg/(h m2).
func shahFlux(v vapour, surface, room moistair.Moisture, density func(moistair.Moisture) float64) float64 {
	natural := 0.0
	if lift := density(room) - density(surface); lift > 0 {
		natural = shahNatural * density(surface) * math.Cbrt(lift) * (surface.Ratio - room.Ratio)
	}
	forced := shahForced * float64(v.surface-v.air)
	return math.Max(0, math.Max(natural, forced))
}
