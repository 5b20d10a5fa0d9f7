// Package evaporation holds the rate at which a free water surface indoors
// loses water, by two published correlations or scaled to what the keeper measured.
package evaporation

import (
	"saltwright/internal/calc"
	"saltwright/internal/calc/moistair"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/seawater"
	"saltwright/internal/calc/text"
)

// Ranges accepted here. No range is published for the correlations beyond
// indoor pools; these are the ranges we tested.
const (
	minWaterC, maxWaterC         = 0, 40      // °C, range of the seawater relations
	minAreaM2, maxAreaM2         = 1e-4, 1e4  // m²
	maxAirSpeedMS                = 3          // m/s
	maxSalinity                  = 42         // PSS-78's own range
	minPressurePa, maxPressurePa = 5e4, 1.2e5 // Pa
	freshWaterDensityKgPerL      = 0.9982     // kg/L at 20 °C and one atmosphere. Source: [Kell1975].
)

// Surface is a free water surface and the air over it.
type Surface struct {
	AreaM2     float64                    // m², 0.0001 … 10000
	Salinity   quantity.PracticalSalinity // PSS-78
	Water      quantity.Celsius           // °C, 0 … 40
	Air        moistair.State             // air of the room
	AirSpeedMS float64                    // m/s over the surface, 0 … 3
	LidFactor  float64                    // share of the free evaporation left by the lid, 0 … 1; 1 is open
}

// Lid says what covers the water.
type Lid string

// The lids that are told apart.
const (
	LidOpen   Lid = "open"   // nothing over the water
	LidScreen Lid = "screen" // a net or an egg-crate grid
	LidClosed Lid = "closed" // panes with gaps for cables and pipes
)

// LidFactor returns the share of the free evaporation that a lid leaves.
//
//	open 1, screen 0.85, closed 0.1
//
// Accuracy: none is known; a keeper's own measurement (Calibrate) is better.
// Errors: *calc.ConflictError for any other lid. Source: [CommonPractice].
func LidFactor(lid Lid) (float64, error) {
	switch lid {
	case LidOpen:
		return 1, nil
	case LidScreen:
		return 0.85, nil
	case LidClosed:
		return 0.1, nil
	}
	return 0, &calc.ConflictError{Params: []string{"lid"}, Reason: text.Of("lid_not_known", nil)}
}

// LitresPerDay returns the fresh water at 20 °C that replaces an evaporation rate for a day.
//
//	L = 24 · w / 0.9982
//
//	w  evaporation  [kg/h]
//	L  fresh water  [L/day]
//
// Accuracy: 0.3 % over 10 … 30 °C, the expansion of water. Errors: none. Source: [Kell1975].
func LitresPerDay(kgPerHour float64) float64 {
	return quantity.HoursPerDay * kgPerHour / freshWaterDensityKgPerL
}

// KgPerHour is the inverse of LitresPerDay.
//
//	w = 0.9982 · L / 24
//
// Accuracy: as LitresPerDay. Errors: none. Source: [Kell1975].
func KgPerHour(litresPerDay float64) float64 {
	return litresPerDay * freshWaterDensityKgPerL / quantity.HoursPerDay
}

// vapour is what both correlations need from the two sides of the surface.
type vapour struct {
	surface, air quantity.Pascal // vapour pressures
	latentJPerKg float64
}

// vapour checks the surface and returns what both correlations need.
func (s Surface) vapour() (vapour, error) {
	var v vapour
	for _, c := range []struct {
		param           string
		value, min, max float64
		unit            string
	}{
		{"water_c", float64(s.Water), minWaterC, maxWaterC, "degC"},
		{"area_m2", s.AreaM2, minAreaM2, maxAreaM2, "m2"},
		{"air_speed_m_s", s.AirSpeedMS, 0, maxAirSpeedMS, "m/s"},
		{"lid_factor", s.LidFactor, 0, 1, "1"},
		{"salinity_psu", float64(s.Salinity), 0, maxSalinity, "1"},
		{"rh_percent", quantity.PerCent * s.Air.RelativeHumidity, 0, quantity.PerCent, "%"},
		{"pressure_pa", float64(s.Air.Pressure), minPressurePa, maxPressurePa, "Pa"},
	} {
		if err := calc.CheckRange(c.param, c.value, c.min, c.max, c.unit); err != nil {
			return v, err
		}
	}
	var err error
	if v.surface, err = seawater.VapourPressure(s.Salinity, s.Water); err != nil {
		return v, err
	}
	if v.air, err = s.Air.VapourPressure(); err != nil {
		return v, err
	}
	v.latentJPerKg, err = seawater.LatentHeat(s.Salinity, s.Water)
	return v, err
}
