package heat

import (
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/quantity"
)

// Published lists the ranges that the correlations of the films are published for.
var Published = []calc.Published{
	{
		Relation: "heat.NusseltVertical", Of: "wall_film",
		Quantity: "wall_rayleigh", Unit: "1", Low: 0, High: 1e12, Source: "ChurchillChu1975",
	},
	{
		Relation: "heat.NusseltLively", Of: "surface_film",
		Quantity: "lively_surface_rayleigh", Unit: "1", Low: 1e4, High: 1e11, Source: "Incropera2007",
	},
	{
		Relation: "heat.NusseltCalm", Of: "surface_film",
		Quantity: "calm_surface_rayleigh", Unit: "1", Low: 1e5, High: 1e10, Source: "Incropera2007",
	},
	{
		Relation: "heat.DryLoss", Of: "moving_film",
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

// Exposure is a water temperature together with the room that a vessel stands in.
type Exposure struct {
	Water quantity.Celsius
	Room  Surroundings
}

// FarthestFilmNumbers returns the numbers of FilmNumbers for several exposures of one vessel: of each that which lies
// farthest outside its published range, or any where all lie inside.
//
// Accuracy: as FilmNumbers. Errors: as FilmNumbers.
// Source: [Incropera2007] sections 7.2, 9.2.
func FarthestFilmNumbers(v Vessel, exposures []Exposure) (map[string]float64, error) {
	out := map[string]float64{}
	for _, x := range exposures {
		numbers, err := FilmNumbers(v, x.Water, x.Room)
		if err != nil {
			return nil, err
		}
		for name, number := range numbers {
			if before, seen := out[name]; !seen || outsidePublished(name, number) > outsidePublished(name, before) {
				out[name] = number
			}
		}
	}
	return out, nil
}

// outsidePublished is by which factor a number lies outside its published range, below 1 where it lies inside.
func outsidePublished(name string, number float64) float64 {
	for _, p := range Published {
		if p.Quantity == name {
			return math.Max(number/p.High, p.Low/number)
		}
	}
	return 0
}
