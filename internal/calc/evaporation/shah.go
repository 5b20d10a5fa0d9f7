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
	surface, err := shahSide(v.surface)
	if err != nil {
		return 0, err
	}
	room, err := shahSide(s.Air)
	if err != nil {
		return 0, err
	}
	q := shahState{
		pSurfacePa: v.surfacePa, pRoomPa: v.airPa,
		ratioSurface: surface.ratio, ratioRoom: room.ratio,
		densitySurface: surface.density, densityRoom: room.density,
	}
	return s.AreaM2 * s.LidFactor * q.flux(), nil
}

type sideOfSurface struct{ ratio, density float64 } // humidity ratio; kg dry air per m3

func shahSide(a moistair.State) (sideOfSurface, error) {
	ratio, err := a.HumidityRatio()
	if err != nil {
		return sideOfSurface{}, err
	}
	volume, err := a.Volume()
	return sideOfSurface{ratio: ratio, density: 1 / volume}, err
}

type shahState struct {
	pSurfacePa, pRoomPa         float64 // Pa
	ratioSurface, ratioRoom     float64 // kg water per kg dry air
	densitySurface, densityRoom float64 // kg dry air per m3
}

// flux is in kg/(h m2).
func (q shahState) flux() float64 {
	natural := 0.0
	if lift := q.densityRoom - q.densitySurface; lift > 0 {
		natural = shahNatural * q.densitySurface * math.Cbrt(lift) * (q.ratioSurface - q.ratioRoom)
	}
	forced := shahForced * (q.pSurfacePa - q.pRoomPa)
	return math.Max(0, math.Max(natural, forced))
}
