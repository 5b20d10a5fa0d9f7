// Package seawater holds the salinity scales of a keeper's instruments and the
// properties of sea water at one atmosphere. Temperatures are ITS-90
// everywhere; relations fitted on IPTS-68 convert inside.
package seawater

import (
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/numeric"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

// Ranges accepted here. PSS-78 is published for SP 2 … 42 and -2 … 35 °C; we
// accept a little more and Convert notes it.
const (
	minSP, maxSP             = 0.0, 45.0
	minTempC, maxTempC       = 0.0, 40.0
	publishedLowSP           = 2.0    // PSS-78. Source: [UNESCO44].
	publishedHighSP          = 42.0   // PSS-78. Source: [UNESCO44].
	publishedHighC           = 35.0   // PSS-78. Source: [UNESCO44].
	standardConductivity     = 42.914 // mS/cm at SP 35, t68 15 °C, p 0. Source: [UNESCO44].
	referenceSalinityPerPSU  = 35.16504 / 35
	practicalPerChlorinity   = 1.80655 // Source: [Wooster1969].
	salinityToleranceOfRoots = 1e-12
)

func check(s quantity.PracticalSalinity, t quantity.Celsius) error {
	if err := calc.CheckRange("salinity_psu", float64(s), minSP, maxSP, "1"); err != nil {
		return err
	}
	return calc.CheckRange("water_c", float64(t), minTempC, maxTempC, "degC")
}

// pss78 is the salinity of a conductivity ratio R = C/C(35, 15, 0) at IPTS-68
// temperature t and pressure p in dbar.
func pss78(ratio, t68, dbar float64) float64 {
	rp := 1 + dbar*(2.070e-5+dbar*(-6.370e-10+dbar*3.989e-15))/
		(1+t68*(3.426e-2+t68*4.464e-4)+(4.215e-1-3.107e-3*t68)*ratio)
	x := math.Sqrt(ratio / (rp * ratioOfTemperature(t68)))
	s := 0.0080 + x*(-0.1692+x*(25.3851+x*(14.0941+x*(-7.0261+x*2.7081))))
	ds := 0.0005 + x*(-0.0056+x*(-0.0066+x*(-0.0375+x*(0.0636+x*-0.0144))))
	return s + (t68-15)/(1+0.0162*(t68-15))*ds
}

// ratioOfTemperature is r_t = C(35, t, 0)/C(35, 15, 0).
func ratioOfTemperature(t68 float64) float64 {
	return 0.6766097 + t68*(2.00564e-2+t68*(1.104259e-4+t68*(-6.9698e-7+t68*1.0031e-9)))
}

// PracticalFromConductivity returns the practical salinity of a conductivity at the sample's temperature and one
// atmosphere.
//
//	S = Σ a_i R_t^(i/2) + (t-15)/(1 + 0.0162 (t-15)) Σ b_i R_t^(i/2)
//
//	conductivity  at t  [mS/cm]  valid 0 … 100
//	t             [°C]           valid 0 … 40, published -2 … 35
//	S             practical salinity  published 2 … 42
//
// Accuracy: 0.001 in S inside the published range. Below SP 2 the relation is used beyond its range.
// Errors: *calc.RangeError, also when S comes out outside 0 … 45. Source: [UNESCO44].
func PracticalFromConductivity(conductivity float64, t quantity.Celsius) (quantity.PracticalSalinity, error) {
	if err := calc.CheckRange("water_c", float64(t), minTempC, maxTempC, "degC"); err != nil {
		return 0, err
	}
	if err := calc.CheckRange("conductivity_ms_cm", conductivity, 0, 100, "mS/cm"); err != nil {
		return 0, err
	}
	s := pss78(conductivity/standardConductivity, t.IPTS68(), 0)
	const rounding = 0.02 // S(R=0) is 0.0080 + …, not quite 0
	if s < minSP && s > -rounding {
		s = minSP
	}
	if err := calc.CheckRange("salinity_psu", s, minSP, maxSP, "1"); err != nil {
		return 0, err
	}
	return quantity.PracticalSalinity(s), nil
}

// Conductivity returns the conductivity of sea water at its own temperature, mS/cm.
//
//	PSS-78 inverted
//
//	s  practical salinity  valid 0 … 45
//	t  [°C]                valid 0 … 40
//
// Accuracy: 0.001 in S; strictly increasing in both.
// Errors: *calc.RangeError. Source: [UNESCO44].
func Conductivity(s quantity.PracticalSalinity, t quantity.Celsius) (float64, error) {
	if err := check(s, t); err != nil {
		return 0, err
	}
	t68 := t.IPTS68()
	excess := func(ratio float64) float64 { return pss78(ratio, t68, 0) - float64(s) }
	if excess(0) >= 0 {
		return 0, nil // below what the relation can tell from pure water
	}
	const most = 2.5 // C/C(35,15,0) at SP 45 and 40 °C is 2.0
	// The ratio grows nearly as the salinity does, and is that of the temperature at SP 35.
	perPSU := ratioOfTemperature(t68) / 35
	ratio, err := numeric.RootFrom(excess, 0, most, float64(s)*perPSU, 1/perPSU, salinityToleranceOfRoots)
	return ratio * standardConductivity, err
}

// MeterDisplay returns what a meter with linear temperature compensation shows for a conductivity, mS/cm at 25 °C.
//
//	display = C_t / (1 + a (t - 25))
//
//	conductivity      at t            [mS/cm]
//	percentPerKelvin  a, of the meter [%/K]   valid 0 … 5; often 1.9 to 2.1
//
// Accuracy: exact; it is the meter that errs, sea water's own coefficient moves with t.
// Errors: *calc.RangeError when the compensation divides by nearly nothing. Source: [Derived].
func MeterDisplay(conductivity float64, t quantity.Celsius, percentPerKelvin float64) (float64, error) {
	if err := calc.CheckRange("meter_percent_per_k", percentPerKelvin, 0, 5, "%/K"); err != nil {
		return 0, err
	}
	if err := calc.CheckRange("water_c", float64(t), minTempC, maxTempC, "degC"); err != nil {
		return 0, err
	}
	factor := 1 + percentPerKelvin/100*(float64(t)-25)
	if err := calc.CheckRange("meter_percent_per_k", factor, 0.05, 2, "1"); err != nil {
		return 0, &calc.ConflictError{
			Params: []string{"meter_percent_per_k", "sample_c"},
			Reason: text.Of("meter_compensation_leaves_nothing", nil),
		}
	}
	return conductivity / factor, nil
}

// Absolute returns the reference-composition salinity, g/kg.
//
//	S_R = (35.16504/35) S
//
// Accuracy: exact for Standard Seawater; an artificial mix can differ by 0.1 g/kg and more.
// Errors: *calc.RangeError. Source: [Millero2008].
func Absolute(s quantity.PracticalSalinity) (quantity.AbsoluteSalinity, error) {
	if err := calc.CheckRange("salinity_psu", float64(s), minSP, maxSP, "1"); err != nil {
		return 0, err
	}
	return quantity.AbsoluteSalinity(referenceSalinityPerPSU * float64(s)), nil
}

// Chlorinity returns the chlorinity, g/kg.
//
//	Cl = S / 1.80655
//
// Accuracy: exact by definition of the older scale, 0.001 in S against PSS-78.
// Errors: *calc.RangeError. Source: [Wooster1969].
func Chlorinity(s quantity.PracticalSalinity) (float64, error) {
	if err := calc.CheckRange("salinity_psu", float64(s), minSP, maxSP, "1"); err != nil {
		return 0, err
	}
	return float64(s) / practicalPerChlorinity, nil
}
