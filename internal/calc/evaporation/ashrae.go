package evaporation

import (
	"saltwright/internal/calc"
	"saltwright/internal/calc/quantity"
)

const (
	stillAirCoefficient = 0.089  // W/(m2 Pa). Source: [ASHRAEApplications].
	airSpeedCoefficient = 0.0782 // W s/(m3 Pa). Source: [ASHRAEApplications].
	undisturbedActivity = 0.74   // measured share of the equation for undisturbed pools. Source: [SmithLofJones1998].
	// the equation as it stands: normal activity in a public pool. Source: [ASHRAEApplications].
	publicActivity  = 1
	largestActivity = 2
)

// ASHRAE returns the evaporation by the handbook's equation for indoor pools, which is Carrier's of 1918.
//
//	w = 3600 · F · A · c · (pw - pa) · (0.089 + 0.0782 v) / Y
//
//	F   activity factor, 1 = public pool, 0.74 = undisturbed  [1]  valid 0 … 2
//	A   area, c  lid factor                                    [m2], [1]
//	pw  vapour pressure at the water surface, over seawater    [Pa]
//	pa  vapour pressure of the room air                        [Pa]
//	v   air speed over the surface                             [m/s]  valid 0 … 3
//	Y   latent heat at the water temperature                   [J/kg]
//	w   evaporation; negative when the air is wetter than the surface (condensation)  [kg/h]
//
// It is for sea level; Estimate carries it up. Estimate takes the same equation at activities of its own; by itself it
// is called where the equation is held against published cases.
// Accuracy: undisturbed pools in moving or cool air lie within 0.97 … 1.11 of 0.74 times it; see Estimate.
// Errors: *calc.RangeError for any input outside its range.
// Source: [ASHRAEApplications], [Carrier1918]. Departure: seawater's activity lowers pw.
func ASHRAE(s Surface, activity float64) (float64, error) {
	if err := calc.CheckRange("activity", activity, 0, largestActivity, "1"); err != nil {
		return 0, err
	}
	v, err := s.vapour()
	if err != nil {
		return 0, err
	}
	return activity * s.ashrae(v), nil
}

// ashrae is the equation at activity 1, in kg/h.
func (s Surface) ashrae(v vapour) float64 {
	latentWPerM2 := float64(v.surface-v.air) * (stillAirCoefficient + airSpeedCoefficient*s.AirSpeedMS)
	return s.AreaM2 * s.LidFactor * quantity.SecondsPerHour * latentWPerM2 / v.latentJPerKg
}
