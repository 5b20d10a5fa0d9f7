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
// in it: it holds to about 0.15 m/s.
// Accuracy: treat as a second opinion of about 30 %: the factor ρw and the
// dry-air density are from memory; moist-air density gives up to a third less.
// Errors: *calc.RangeError for any input outside its range.
// Source: [Shah2014]. Departure: seawater's activity lowers pw and Ww.
func Shah(s Surface) (float64, error) {
	v, err := s.vapour()
	if err != nil {
		return 0, err
	}
	return s.shah(v)
}

// shah is the correlation in kg/h.
func (s Surface) shah(v vapour) (float64, error) {
	surface, err := moistair.MoistureOf(s.Water, v.surface, s.Air.Pressure)
	if err != nil {
		return 0, err
	}
	room, err := moistair.MoistureOf(s.Air.Temp, v.air, s.Air.Pressure)
	if err != nil {
		return 0, err
	}
	return s.AreaM2 * s.LidFactor * shahFlux(v, surface, room), nil
}

// shahFlux is the correlation for one square metre, in kg/(h m2).
func shahFlux(v vapour, surface, room moistair.Moisture) float64 {
	natural := 0.0
	if lift := 1/room.DryAirM3PerKg - 1/surface.DryAirM3PerKg; lift > 0 {
		natural = shahNatural / surface.DryAirM3PerKg * math.Cbrt(lift) * (surface.Ratio - room.Ratio)
	}
	forced := shahForced * float64(v.surface-v.air)
	return math.Max(0, math.Max(natural, forced))
}
