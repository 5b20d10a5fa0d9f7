// Package dosing says how much of a salt or of its solution raises alkalinity, calcium or magnesium, how fast, and
// what
// the water does meanwhile.
package dosing

// Substance is a pure salt, by its water of crystallisation.
type Substance string

// The salts.
const (
	SodiumBicarbonate            Substance = "sodium_bicarbonate"
	SodiumCarbonate              Substance = "sodium_carbonate_anhydrous"
	SodiumCarbonateMonohydrate   Substance = "sodium_carbonate_monohydrate"
	SodiumCarbonateDecahydrate   Substance = "sodium_carbonate_decahydrate"
	SodiumHydroxide              Substance = "sodium_hydroxide"
	CalciumHydroxide             Substance = "calcium_hydroxide"
	CalciumChloride              Substance = "calcium_chloride_anhydrous"
	CalciumChlorideDihydrate     Substance = "calcium_chloride_dihydrate"
	CalciumChlorideHexahydrate   Substance = "calcium_chloride_hexahydrate"
	MagnesiumChlorideHexahydrate Substance = "magnesium_chloride_hexahydrate"
	MagnesiumSulfateHeptahydrate Substance = "magnesium_sulfate_heptahydrate"
	MagnesiumSulfate             Substance = "magnesium_sulfate_anhydrous"
)

// Standard atomic weights, g/mol. Source: [CIAAW2021].
const (
	hydrogen  = 1.008
	carbon    = 12.011
	oxygen    = 15.999
	sodium    = 22.98976928
	magnesium = 24.305
	sulfur    = 32.06
	chlorine  = 35.45
	calcium   = 40.078

	water        = 2*hydrogen + oxygen
	hydroxideIon = oxygen + hydrogen
	carbonateIon = carbon + 3*oxygen
	sulfateIon   = sulfur + 4*oxygen
	salt         = sodium + chlorine
)

// content is what a mole of a salt brings.
type content struct {
	anhydrous     float64 // g
	crystalWater  float64 // mol
	alkalinity    float64 // equivalents
	carbon        float64 // mol
	calcium       float64 // mol
	magnesium     float64 // mol
	chloride      float64 // mol
	sulfate       float64 // mol
	mostAnhydrous float64 // that dissolves in a kilogram of water at 20 °C, g; 0: not known here. Source: [PerryLime]
}

var contents = map[Substance]content{
	SodiumBicarbonate: {anhydrous: sodium + hydrogen + carbonateIon, alkalinity: 1, carbon: 1, mostAnhydrous: 96},
	SodiumCarbonate:   {anhydrous: 2*sodium + carbonateIon, alkalinity: 2, carbon: 1, mostAnhydrous: 215},
	SodiumCarbonateMonohydrate: {anhydrous: 2*sodium + carbonateIon, crystalWater: 1, alkalinity: 2, carbon: 1,
		mostAnhydrous: 215},
	SodiumCarbonateDecahydrate: {anhydrous: 2*sodium + carbonateIon, crystalWater: 10, alkalinity: 2, carbon: 1,
		mostAnhydrous: 215},
	SodiumHydroxide:  {anhydrous: sodium + hydroxideIon, alkalinity: 1},
	CalciumHydroxide: {anhydrous: calcium + 2*hydroxideIon, alkalinity: 2, calcium: 1, mostAnhydrous: 1.65},
	CalciumChloride:  {anhydrous: calcium + 2*chlorine, calcium: 1, chloride: 2, mostAnhydrous: 745},
	CalciumChlorideDihydrate: {anhydrous: calcium + 2*chlorine, crystalWater: 2, calcium: 1, chloride: 2,
		mostAnhydrous: 745},
	CalciumChlorideHexahydrate: {anhydrous: calcium + 2*chlorine, crystalWater: 6, calcium: 1, chloride: 2,
		mostAnhydrous: 745},
	MagnesiumChlorideHexahydrate: {anhydrous: magnesium + 2*chlorine, crystalWater: 6, magnesium: 1, chloride: 2},
	MagnesiumSulfateHeptahydrate: {anhydrous: magnesium + sulfateIon, crystalWater: 7, magnesium: 1, sulfate: 1},
	MagnesiumSulfate:             {anhydrous: magnesium + sulfateIon, magnesium: 1, sulfate: 1},
}

func (c content) molarMass() float64 { return c.anhydrous + c.crystalWater*water }

// Caustic tells whether a salt or its solution burns skin and eyes badly.
//
// Errors: none. Source: [CommonPractice].
func (s Substance) Caustic() bool {
	switch s {
	case SodiumHydroxide, CalciumHydroxide, SodiumCarbonate, SodiumCarbonateMonohydrate, SodiumCarbonateDecahydrate:
		return true
	}
	return false
}
