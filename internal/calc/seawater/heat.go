package seawater

import (
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/moistair"
	"saltwright/internal/calc/quantity"
)

const (
	vapourLoweringPerPSU = 0.000537   // share of the vapour pressure. Source: [GreenCarritt1967].
	latentAtZeroJ        = 2.5009e6   // J/kg at 0 °C. Source: [Henderson1984].
	latentSlopeJ         = -2365.0    // J/(kg K). Source: [Henderson1984].
	oxygenMolarMassMgPer = 31.9988e-3 // mg/µmol
)

// HeatCapacity returns the specific heat of sea water at one atmosphere, J/(kg K).
//
//	cp = cp0(t) + A(t) S + B(t) S^1.5
//
//	s  practical salinity  valid 0 … 45, published 0 … 40
//	t  [°C]                valid 0 … 40, published 0 … 35
//
// Accuracy: 0.09 % against TEOS-10. Errors: *calc.RangeError. Source: [Millero1973], [UNESCO44].
func HeatCapacity(s quantity.PracticalSalinity, t quantity.Celsius) (float64, error) {
	if err := check(s, t); err != nil {
		return 0, err
	}
	T, S := t.IPTS68(), float64(s)
	cp0 := 4217.4 + T*(-3.720283+T*(0.1412855+T*(-2.654387e-3+T*2.093236e-5)))
	a := -7.643575 + T*(0.1072763-T*1.38385e-3)
	b := 0.1770383 + T*(-4.07718e-3+T*5.148e-5)
	return cp0 + S*(a+b*math.Sqrt(S)), nil
}

// LatentHeat returns the heat that evaporates a kilogram of water from sea water, J/kg.
//
//	L = 2.5009e6 - 2365 t
//
//	t  [°C]  valid 0 … 40; the salt moves L by less than 0.01 %
//
// Accuracy: 0.14 % against TEOS-10. Errors: *calc.RangeError. Source: [Henderson1984].
func LatentHeat(s quantity.PracticalSalinity, t quantity.Celsius) (float64, error) {
	if err := check(s, t); err != nil {
		return 0, err
	}
	return latentAtZeroJ + latentSlopeJ*float64(t), nil
}

// WaterActivity returns the share of the vapour pressure of pure water that sea water keeps.
//
//	a = 1 - 0.000537 S
//
// Accuracy: 0.0003 against TEOS-10. Errors: *calc.RangeError. Source: [GreenCarritt1967].
func WaterActivity(s quantity.PracticalSalinity) (float64, error) {
	if err := calc.CheckRange("salinity_psu", float64(s), minSP, maxSP, "1"); err != nil {
		return 0, err
	}
	return 1 - vapourLoweringPerPSU*float64(s), nil
}

// VapourPressure returns the vapour pressure over sea water.
//
//	p = a(S) · p_ws(t)
//
// Accuracy: 0.05 %. Errors: *calc.RangeError. Source: [GreenCarritt1967], [HylandWexler1983].
func VapourPressure(s quantity.PracticalSalinity, t quantity.Celsius) (quantity.Pascal, error) {
	if err := check(s, t); err != nil {
		return 0, err
	}
	activity, err := WaterActivity(s)
	if err != nil {
		return 0, err
	}
	pure, err := moistair.SaturationPressure(t)
	return quantity.Pascal(activity) * pure, err
}

// OxygenSaturationMolal returns the oxygen in sea water in equilibrium with moist air at one atmosphere, µmol/kg.
//
//	ln C = Σ A_i Ts^i + S Σ B_i Ts^i + C0 S²,  Ts = ln((298.15 - t)/(273.15 + t))
//
//	s  practical salinity  valid 0 … 45, published 0 … 42
//	t  [°C]                valid 0 … 40
//
// Accuracy: 0.3 %. Errors: *calc.RangeError. Source: [GarciaGordon1992], Benson and Krause coefficients.
func OxygenSaturationMolal(s quantity.PracticalSalinity, t quantity.Celsius) (float64, error) {
	if err := check(s, t); err != nil {
		return 0, err
	}
	T, S := t.IPTS68(), float64(s)
	ts := math.Log((298.15 - T) / (273.15 + T))
	a := 5.80871 + ts*(3.20291+ts*(4.17887+ts*(5.10006+ts*(-9.86643e-2+ts*3.80369))))
	b := -7.01577e-3 + ts*(-7.70028e-3+ts*(-1.13864e-2-ts*9.51519e-3))
	return math.Exp(a + S*(b-2.75915e-7*S)), nil
}

// OxygenSaturation returns the oxygen in sea water in equilibrium with moist air at a pressure, mg/L.
//
//	mg/L = µmol/kg · rho · 31.9988e-6 · (p - p_w) / (101325 Pa - p_w)
//
//	s    practical salinity               valid 0 … 45, published 0 … 42
//	t    temperature of the water   [°C]  valid 0 … 40
//	p    pressure of the air        [Pa]  valid 20000 … 120000
//	p_w  vapour pressure over the water: the air on it is saturated  [Pa]
//
// Accuracy: 0.3 %; below 1 atmosphere 0.1 % more, the gas's departure from the ideal left out.
// Errors: *calc.RangeError. Source: [GarciaGordon1992], [BensonKrause1984].
func OxygenSaturation(
	s quantity.PracticalSalinity, t quantity.Celsius, pressure quantity.Pascal,
) (float64, error) {
	const least, most = 20000, 120000 // Pa, as moist air
	if err := calc.CheckRange("pressure_pa", float64(pressure), least, most, "Pa"); err != nil {
		return 0, err
	}
	molal, err := OxygenSaturationMolal(s, t)
	if err != nil {
		return 0, err
	}
	vapour, err := VapourPressure(s, t)
	if err != nil {
		return 0, err
	}
	rho, err := Density(s, t)
	thin := float64((pressure - vapour) / (quantity.StandardAtmosphere - vapour))
	return molal * rho / 1000 * oxygenMolarMassMgPer * thin, err
}
