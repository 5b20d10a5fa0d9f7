package heat

import (
	"saltwright/internal/calc"
	"saltwright/internal/calc/moistair"
	"saltwright/internal/calc/quantity"
)

// Ranges accepted here; the correlations are published for wider ones.
const (
	minWaterC, maxWaterC = 0, 40 // °C, range of the seawater relations
	maxAirSpeedMS        = 3     // m/s
	waterEmissivity      = 0.96  // Source: [Incropera2007] table A.11.
)

// Air of a room that the relations were tested in, °C.
const (
	ColdestAirC = -10
	WarmestAirC = 50
)

// Surroundings is the room a vessel stands in; its walls have the temperature of the air.
type Surroundings struct {
	Air        moistair.State
	AirSpeedMS float64 // 0 … 3 m/s
}

// check names the temperature as the caller does; one humidity and air speed hold for all its rooms.
func (r Surroundings) check(temperature string) error {
	for _, c := range []struct {
		param           string
		value, min, max float64
		unit            string
	}{
		{temperature, float64(r.Air.Temp), ColdestAirC, WarmestAirC, "degC"},
		{"rh_percent", quantity.PerCent * r.Air.RelativeHumidity, 0, quantity.PerCent, "%"},
		{"pressure_pa", float64(r.Air.Pressure), 5e4, 1.2e5, "Pa"},
		{"air_speed_m_s", r.AirSpeedMS, 0, maxAirSpeedMS, "m/s"},
	} {
		if err := calc.CheckRange(c.param, c.value, c.min, c.max, c.unit); err != nil {
			return err
		}
	}
	return nil
}
