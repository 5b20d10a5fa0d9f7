package seawater

import (
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/quantity"
)

// PureWaterDensity returns the density of pure water at one atmosphere, kg/m³.
//
//	rho_w = Σ a_i t^i, t on IPTS-68
//
//	t  [°C]  valid 0 … 40
//
// Accuracy: 0.003 kg/m³ against TEOS-10. Errors: *calc.RangeError. Source: [MilleroPoisson1981], [UNESCO44].
func PureWaterDensity(t quantity.Celsius) (float64, error) {
	if err := calc.CheckRange("water_c", float64(t), minTempC, maxTempC, "degC"); err != nil {
		return 0, err
	}
	return pureWater68(t.IPTS68()), nil
}

func pureWater68(t float64) float64 {
	return 999.842594 + t*(6.793952e-2+t*(-9.095290e-3+t*(1.001685e-4+t*(-1.120083e-6+t*6.536332e-9))))
}

// Density returns the density of sea water at one atmosphere by EOS-80, kg/m³.
//
//	rho = rho_w(t) + A(t) S + B(t) S^1.5 + 4.8314e-4 S², t on IPTS-68
//
//	s  practical salinity  valid 0 … 45, published 0 … 42
//	t  [°C]                valid 0 … 40
//
// Accuracy: 0.006 kg/m³ against TEOS-10 with reference salinity.
// Errors: *calc.RangeError. Source: [MilleroPoisson1981], [UNESCO44].
func Density(s quantity.PracticalSalinity, t quantity.Celsius) (float64, error) {
	if err := check(s, t); err != nil {
		return 0, err
	}
	return density68(float64(s), t.IPTS68()), nil
}

func density68(s, t float64) float64 {
	a := 0.824493 + t*(-4.0899e-3+t*(7.6438e-5+t*(-8.2467e-7+t*5.3875e-9)))
	b := -5.72466e-3 + t*(1.0227e-4-t*1.6546e-6)
	return pureWater68(t) + s*a + s*math.Sqrt(s)*b + 4.8314e-4*s*s
}

// SpecificGravity returns the density of a sample over that of pure water at a reference temperature.
//
//	SG = rho(S, sample) / rho_w(reference)
//
//	sample, reference  [°C]  valid 0 … 40
//
// A hydrometer made for 25/25 that floats in a sample at t shows SG with sample
// = t and reference = 25, but for the expansion of its glass (some 2.5e-5 a
// kelvin in volume), which is not in this.
// Accuracy: 6e-6. Errors: *calc.RangeError. Source: [MilleroPoisson1981].
func SpecificGravity(s quantity.PracticalSalinity, sample, reference quantity.Celsius) (float64, error) {
	rho, err := Density(s, sample)
	if err != nil {
		return 0, err
	}
	pure, err := PureWaterDensity(reference)
	if err != nil {
		return 0, err
	}
	return rho / pure, nil
}

// GramsPerLitre returns the salt in a litre at the sample's temperature, g/L.
//
//	c = S_R · rho / 1000
//
// Accuracy: 6e-6 relative, that of the density. Errors: *calc.RangeError. Source: [Millero2008], [MilleroPoisson1981].
func GramsPerLitre(s quantity.PracticalSalinity, t quantity.Celsius) (float64, error) {
	rho, err := Density(s, t)
	if err != nil {
		return 0, err
	}
	return referenceSalinityPerPSU * float64(s) * rho / 1000, nil
}
