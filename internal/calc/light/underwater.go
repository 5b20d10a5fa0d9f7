package light

import (
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/text"
)

const (
	maxDepthM         = 200.0
	leastAttenuationM = 0.01 // 1/m
	mostAttenuationM  = 5.0  // 1/m
	usualSurfaceShare = 0.94 // of the photons that pass the surface of a calm sea by day. Source: [Kirk2011].
)

// WaterType names how clear the sea is: five types of the ocean and three of coasts.
type WaterType string

// The types, clearest first.
const (
	Oceanic1  WaterType = "oceanic_1"
	Oceanic1A WaterType = "oceanic_1a"
	Oceanic1B WaterType = "oceanic_1b"
	Oceanic2  WaterType = "oceanic_2"
	Oceanic3  WaterType = "oceanic_3"
	Coastal1  WaterType = "coastal_1"
	Coastal3  WaterType = "coastal_3"
	Coastal5  WaterType = "coastal_5"
)

// Diffuse attenuation of downward irradiance at 400, 425 … 700 nm, 1/m. Source: [Jerlov1976] table XXVII.
var diffuseAttenuation = map[WaterType][13]float64{
	Oceanic1:  {0.028, 0.022, 0.019, 0.018, 0.027, 0.043, 0.063, 0.089, 0.235, 0.305, 0.36, 0.42, 0.56},
	Oceanic1A: {0.038, 0.031, 0.026, 0.025, 0.032, 0.048, 0.067, 0.094, 0.24, 0.31, 0.37, 0.43, 0.57},
	Oceanic1B: {0.051, 0.042, 0.036, 0.033, 0.042, 0.054, 0.072, 0.099, 0.245, 0.315, 0.375, 0.435, 0.58},
	Oceanic2:  {0.096, 0.081, 0.068, 0.062, 0.07, 0.076, 0.089, 0.115, 0.26, 0.335, 0.4, 0.465, 0.61},
	Oceanic3:  {0.185, 0.16, 0.135, 0.116, 0.115, 0.116, 0.12, 0.148, 0.295, 0.375, 0.445, 0.52, 0.66},
	Coastal1:  {0.51, 0.36, 0.25, 0.17, 0.14, 0.13, 0.12, 0.15, 0.3, 0.37, 0.45, 0.51, 0.65},
	Coastal3:  {0.78, 0.54, 0.39, 0.29, 0.22, 0.2, 0.19, 0.21, 0.33, 0.4, 0.46, 0.56, 0.71},
	Coastal5:  {1.1, 0.78, 0.56, 0.43, 0.36, 0.31, 0.3, 0.33, 0.4, 0.48, 0.54, 0.65, 0.8},
}

// Published lists the range in which the light of a clear day was held against measurements: stations and towers up to
// 51° of latitude, on either side of the equator alike.
var Published = []calc.Published{
	{
		Relation: "light.NaturalDay", Of: "clear_day",
		Quantity: "latitude_deg", Unit: "deg", Low: -51, High: 51, Source: "Augustine2000",
	},
}

// Underwater is what the water above a depth does to the light.
type Underwater struct {
	Type            WaterType
	AttenuationPerM *float64 // a measured one of photons, 0.01 … 5 1/m: one exponential for all depths; nil: by Type
}

// Transmission returns the share of the surface's photons, 400 to 700 nm, that is left at a depth.
//
//	0.94 · mean over 13 wavelengths of exp(-K z), the ends weighing half;  or 0.94 · exp(-K z) with a measured K
//
//	depthM  z  [m]    valid 0 … 200; 1 at the surface itself
//	K          [1/m]  table of the water's type, or measured
//
// Red is lost in the first two metres, so that the light falls faster there than below.
// Accuracy: photons are taken as spread evenly over the wavelengths, 2 % in what is left at 2 m. Types are classes: a
// bay may lie between two of them, as Kaneohe does between the least clear ocean and a coast [Wall2020].
// Errors: *calc.RangeError; *calc.ConflictError for an unknown type. Source: [Jerlov1976], [Kirk2011].
func Transmission(u Underwater, depthM float64) (float64, error) {
	if err := calc.CheckRange("depth_m", depthM, 0, maxDepthM, "m"); err != nil {
		return 0, err
	}
	table, ok := diffuseAttenuation[u.Type]
	if !ok {
		return 0, &calc.ConflictError{
			Params: []string{"water_type"}, Reason: text.Of("light_water_type_unknown", nil),
		}
	}
	if k := u.AttenuationPerM; k != nil {
		if err := calc.CheckRange("attenuation_per_m", *k, leastAttenuationM, mostAttenuationM, "1/m"); err != nil {
			return 0, err
		}
	}
	if depthM == 0 {
		return 1, nil
	}
	return u.below(table, depthM), nil
}

// below is the share left at a depth, the loss at the surface included.
func (u Underwater) below(table [13]float64, depthM float64) float64 {
	if u.AttenuationPerM != nil {
		return usualSurfaceShare * math.Exp(-*u.AttenuationPerM*depthM)
	}
	last := len(table) - 1
	sum := (math.Exp(-table[0]*depthM) + math.Exp(-table[last]*depthM)) / 2
	for _, k := range table[1:last] {
		sum += math.Exp(-k * depthM)
	}
	return usualSurfaceShare * sum / float64(last)
}
