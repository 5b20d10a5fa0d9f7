package heat

import (
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/quantity"
)

// Published lists the ranges that the correlations of the films are published for.
var Published = []calc.Published{
	{
		Relation: "heat.NusseltVertical", Of: "the film of air on the walls",
		Quantity: "wall_rayleigh", Unit: "1", Low: 0, High: 1e12, Source: "ChurchillChu1975",
	},
	{
		Relation: "heat.NusseltLively", Of: "the film of air over the water",
		Quantity: "lively_surface_rayleigh", Unit: "1", Low: 1e4, High: 1e11, Source: "Incropera2007",
	},
	{
		Relation: "heat.NusseltCalm", Of: "the film of air over the water",
		Quantity: "calm_surface_rayleigh", Unit: "1", Low: 1e5, High: 1e10, Source: "Incropera2007",
	},
	{
		Relation: "heat.DryLoss", Of: "the film of moving air",
		Quantity: "air_reynolds", Unit: "1", Low: 0, High: 5e5, Source: "Incropera2007",
	},
}

// FilmNumbers returns the numbers that decide whether the films of a vessel are inside their published ranges, by the
// names of Published: Rayleigh numbers of the wall and of the free surface, and the air's Reynolds number.
//
// The wall's face is taken as warm as the water, which is the most it can be. A room within 1 K of the water moves no
// heat that matters, and gives no Rayleigh number of the surface.
// Accuracy: as the films' air properties. Errors: *calc.RangeError, *calc.ConflictError as DryLoss.
// Source: [Incropera2007] sections 7.2, 9.2.
func FilmNumbers(v Vessel, water quantity.Celsius, room Surroundings) (map[string]float64, error) {
	if err := v.check(); err != nil {
		return nil, err
	}
	if err := checkClimate(water, room); err != nil {
		return nil, err
	}
	const metre = quantity.MillimetresPerMetre
	excess := float64(water - room.Air.Temp)
	filmK := (water.Kelvin() + room.Air.Temp.Kelvin()) / 2
	a := airAt(filmK, float64(room.Air.Pressure))
	rayleigh := func(lengthM float64) float64 {
		return gravity / filmK * math.Abs(excess) * lengthM * lengthM * lengthM / (a.viscosity * a.diffusivity)
	}
	flat := v.AreaM2() / (2 * (v.LengthMM + v.WidthMM) / metre)
	out := map[string]float64{
		"wall_rayleigh": rayleigh(v.WaterDepthMM / metre),
		"air_reynolds":  room.AirSpeedMS * math.Max(flat, v.WaterDepthMM/metre) / a.viscosity,
	}
	const faint = 1 // K
	switch {
	case excess >= faint:
		out["lively_surface_rayleigh"] = rayleigh(flat)
	case excess <= -faint:
		out["calm_surface_rayleigh"] = rayleigh(flat)
	}
	return out, nil
}
