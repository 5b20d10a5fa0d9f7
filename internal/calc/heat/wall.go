package heat

import (
	"math"

	"saltwright/internal/calc/numeric"
)

const faceTolerance = 1e-9 // K, of the last secant; it is taken, and leaves less than a thousandth of itself

// SeriesFlux returns the heat through resistances in series per square metre.
//
//	q = (T1 - T2) / Σ R
//
//	T1, T2  temperatures of the two sides       [°C]
//	R       resistances, films included, sum > 0 [m2 K/W]
//	q       heat from side 1 to side 2           [W/m2]
//
// Accuracy: exact for steady one-dimensional conduction. Errors: none; a sum
// of 0 is a programmer's mistake.
// Source: [Cengel2003] section 3-1.
func SeriesFlux(t1C, t2C float64, resistances ...float64) float64 {
	var sum float64
	for _, r := range resistances {
		sum += r
	}
	return (t1C - t2C) / sum
}

// wall is a flat part between water and room.
type wall struct {
	thicknessM   float64
	conductivity float64 // W/(m K)
	extra        float64 // m2 K/W between wall and outer face, for instance a stand
	outside      face
}

// solve returns the temperature of the outer face, at which the heat that
// arrives through the wall equals the heat that the room takes up, and that heat.
func (w wall) solve(waterC float64, room Surroundings) (faceC, fluxWPerM2 float64, err error) {
	const usualFilm = 8 // W/(m2 K), convection and radiation together: only where the search begins
	resistance := 1.0/waterFilm + w.thicknessM/w.conductivity + w.extra
	airC := float64(room.Air.Temp)
	faceC, err = numeric.RootFrom(func(c float64) float64 {
		return SeriesFlux(waterC, c, resistance) - w.outside.flux(c, room)
	}, math.Min(airC, waterC), math.Max(airC, waterC),
		airC+(waterC-airC)/(1+usualFilm*resistance), -1/resistance-usualFilm, faceTolerance)
	return faceC, SeriesFlux(waterC, faceC, resistance), err
}

// rimWatts returns the heat that climbs from the wetted walls into the rim
// above the water line and leaves there: a fin with an insulated tip.
//
//	Q = perimeter · sqrt(h k t) · θ · tanh(height · sqrt(h / (k t)))
//
// h is the film of the exposed sides together, that of the wall below at the
// rim's base: the air's boundary layer runs over both. Source: [Incropera2007] table 3.4, case B.
func rimWatts(w wall, perimeterM, heightM, baseC float64, exposedSides float64, room Surroundings) float64 {
	excess := baseC - float64(room.Air.Temp)
	if excess == 0 || heightM <= 0 {
		return 0
	}
	film := exposedSides * w.outside.flux(baseC, room) / excess
	kt := w.conductivity * w.thicknessM
	return perimeterM * math.Sqrt(film*kt) * excess * math.Tanh(heightM*math.Sqrt(film/kt))
}
