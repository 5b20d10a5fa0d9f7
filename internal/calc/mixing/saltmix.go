// Package mixing holds how much salt new water takes and how a system's salinity
// is moved from one value to another.
package mixing

import (
	"saltwright/internal/calc"
	"saltwright/internal/calc/numeric"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/seawater"
	"saltwright/internal/calc/text"
)

const (
	minVolumeL, maxVolumeL = 0.1, 1e6 // L
	maxPSU                 = 45       // range of the seawater relations
	minWaterC, maxWaterC   = 0, 40    // °C
)

// Basis says which volume is given.
type Basis string

// What the volume of a mix is.
const (
	Finished   Basis = "finished"    // of the salt water wanted
	FreshWater Basis = "fresh_water" // of the water poured in before the salt
)

// Yield is what a maker states: so many grams make a litre of so much.
type Yield struct {
	GramsPerLitre float64                    // of finished water, 5 … 60 g/L
	Salinity      quantity.PracticalSalinity // that this gives, 5 … 45
}

// MixInput is new water to make.
type MixInput struct {
	VolumeL  float64 // 0.1 … 1e6 L
	Basis    Basis
	Target   quantity.PracticalSalinity // 1 … 45
	Start    quantity.PracticalSalinity // of the water before, 0 … below Target
	Water    quantity.Celsius           // at which the volumes are measured, 0 … 40 °C
	Yield    *Yield                     // nil: ideal composition
	BoundPct float64                    // water bound in the dry salt when no yield is given, 0 … 30 % of its mass
}

// MixResult is the recipe.
type MixResult struct {
	SaltKg            float64 // to weigh
	AnhydrousKg       float64 // sea salt without any water that ends in solution
	WaterL            float64 // to pour in first, at the stated temperature
	FinishedL         float64
	FinishedKg        float64
	SaltPerLitreG     float64 // SaltKg per finished litre
	Density           float64 // kg/m3 of the finished water
	SpecificGravity25 float64 // 25/25
	Conductivity25    float64 // mS/cm
}

func (in MixInput) check() error {
	for _, c := range []struct {
		param           string
		value, min, max float64
		unit            string
	}{
		{"volume_l", in.VolumeL, minVolumeL, maxVolumeL, "L"},
		{"target_psu", float64(in.Target), 1, maxPSU, "1"},
		{"start_psu", float64(in.Start), 0, maxPSU, "1"},
		{"water_c", float64(in.Water), minWaterC, maxWaterC, "degC"},
		{"bound_water_percent", in.BoundPct, 0, 30, "%"},
	} {
		if err := calc.CheckRange(c.param, c.value, c.min, c.max, c.unit); err != nil {
			return err
		}
	}
	if in.Start >= in.Target {
		return &calc.ConflictError{
			Params: []string{"start_psu", "target_psu"},
			Reason: text.Of("mix_start_not_below_target", nil),
		}
	}
	if in.Basis != Finished && in.Basis != FreshWater {
		return &calc.ConflictError{
			Params: []string{"volume_is"},
			Reason: text.Of("mix_basis_unknown", nil),
		}
	}
	if in.Yield == nil {
		return nil
	}
	if err := calc.CheckRange("yield_g_l", in.Yield.GramsPerLitre, 5, 60, "g/L"); err != nil {
		return err
	}
	return calc.CheckRange("yield_psu", float64(in.Yield.Salinity), 5, maxPSU, "1")
}

// SaltMix returns the dry salt and the water that make new salt water.
//
//	M_w (1 - S0) + anhydrous = M (1 - S1) + anhydrous,   anhydrous = M S1 - M_w S0
//	M = V rho(S1, t),  S = reference salinity as a mass fraction
//	salt = anhydrous / (1 - bound),  or anhydrous · stated grams / ideal grams at the stated salinity
//
//	V   finished water           [L]
//	M   its mass; M_w of the water before the salt, less what the salt brings in  [kg]
//
// Accuracy: 1e-5 of the ideal composition. A mix for sale differs from it by some
// per cent and draws moisture once opened: measure before use.
// Errors: *calc.RangeError; *calc.ConflictError when the start is not below the target,
// or a stated yield is below what sea water holds.
// Source: [Millero2008], [MilleroPoisson1981], [Derived].
func SaltMix(in MixInput) (MixResult, error) {
	var r MixResult
	if err := in.check(); err != nil {
		return r, err
	}
	salt, err := in.saltPerAnhydrous()
	if err != nil {
		return r, err
	}
	absolute, err := seawater.Absolute(in.Target)
	if err != nil {
		return r, err
	}
	before, err := seawater.Absolute(in.Start)
	if err != nil {
		return r, err
	}
	s1, s0 := float64(absolute)/1000, float64(before)/1000
	if r.Density, err = seawater.Density(in.Target, in.Water); err != nil {
		return r, err
	}
	startDensity, err := seawater.Density(in.Start, in.Water)
	if err != nil {
		return r, err
	}
	// Per kilogram of water before: salt a (anhydrous) brings b of water of its own.
	// (s0 + a) / (1 + a·salt) = s1
	denominator := 1 - salt*s1
	a := (s1 - s0) / denominator
	waterKg := in.VolumeL * startDensity / 1000
	if in.Basis == Finished {
		waterKg = in.VolumeL * r.Density / 1000 / (1 + a*salt)
	}
	r.AnhydrousKg = a * waterKg
	r.SaltKg = salt * r.AnhydrousKg
	r.WaterL = waterKg / startDensity * 1000
	r.FinishedKg = waterKg + r.SaltKg
	r.FinishedL = r.FinishedKg / r.Density * 1000
	r.SaltPerLitreG = 1000 * r.SaltKg / r.FinishedL
	if r.SpecificGravity25, err = seawater.SpecificGravity(in.Target, 25, 25); err != nil {
		return MixResult{}, err
	}
	r.Conductivity25, err = seawater.Conductivity(in.Target, 25)
	return r, err
}

// saltPerAnhydrous returns the mass to weigh for a kilogram of anhydrous sea salt.
func (in MixInput) saltPerAnhydrous() (float64, error) {
	if in.Yield == nil {
		return 1 / (1 - in.BoundPct/100), nil
	}
	ideal, err := seawater.GramsPerLitre(in.Yield.Salinity, statedYieldC)
	if err != nil {
		return 0, err
	}
	ratio := in.Yield.GramsPerLitre / ideal
	const least, most = 0.9, 2 // below: no salt yields more than itself; above: a misread label
	if ratio < least || ratio > most {
		return 0, &calc.ConflictError{Params: []string{"yield_g_l", "yield_psu"}, Reason: text.Of(
			"mix_yield_implausible", text.Params{"salinity": float64(in.Yield.Salinity), "least": least * ideal,
				"most": most * ideal})}
	}
	return ratio, nil
}

// statedYieldC is the temperature a stated yield is taken at, °C; common practice, no source.
const statedYieldC = 25

// salinityOf returns the practical salinity of a salt content in g/L.
func salinityOf(gramsPerLitre float64, t quantity.Celsius) (float64, error) {
	return numeric.Root(func(s float64) float64 {
		g, err := seawater.GramsPerLitre(quantity.PracticalSalinity(s), t)
		if err != nil {
			return 0 // the bracket is the relation's own range and t was checked
		}
		return g - gramsPerLitre
	}, 0, maxPSU, 1e-12)
}
