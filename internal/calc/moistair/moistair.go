// Package moistair holds the state of humid air by the equations of the ASHRAE
// Handbook of Fundamentals.
package moistair

import (
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/numeric"
	"saltwright/internal/calc/quantity"
)

const (
	minC, maxC           = -20.0, 100.0 // °C, where we use the relation over liquid water
	minAltitudeM         = -5000.0      // m
	maxAltitudeM         = 11000.0      // m, top of the relation's troposphere
	minPressurePa        = 20000.0      // Pa
	maxPressurePa        = 120000.0     // Pa
	gasConstantDryAir    = 287.042      // J/(kg K). Source: [ASHRAEFundamentals2017] chapter 1.
	molarMassRatio       = 0.621945     // water over dry air. Source: [ASHRAEFundamentals2017] chapter 1.
	volumeFactor         = 1.607858     // 1/0.621945. Source: [ASHRAEFundamentals2017] chapter 1.
	cpDryAir             = 1.006        // kJ/(kg K). Source: [ASHRAEFundamentals2017] chapter 1.
	cpVapour             = 1.86         // kJ/(kg K). Source: [ASHRAEFundamentals2017] chapter 1.
	latentZeroKJ         = 2501.0       // kJ/kg at 0 °C. Source: [ASHRAEFundamentals2017] chapter 1.
	cpLiquid             = 4.186        // kJ/(kg K). Source: [ASHRAEFundamentals2017] chapter 1.
	wetBulbSlope         = 2.326        // kJ/(kg K). Source: [ASHRAEFundamentals2017] chapter 1, eq. 33.
	temperatureTolerance = 1e-9         // K
	freezingC            = 0.0          // °C; below it the wet bulb would be over ice
)

// SaturationPressure returns the vapour pressure of pure water over its liquid.
//
//	ln p = C8/T + C9 + C10·T + C11·T² + C12·T³ + C13·ln T
//
//	t  temperature          [°C]  valid -20 … 100 (over liquid; below 0 °C supercooled)
//	T  t + 273.15           [K]
//	p  saturation pressure  [Pa]
//
// Accuracy: 300 ppm of the handbook's table; strictly increasing.
// Errors: *calc.RangeError. Source: [HylandWexler1983], [ASHRAEFundamentals2017] chapter 1, eq. 6.
func SaturationPressure(t quantity.Celsius) (quantity.Pascal, error) {
	if err := calc.CheckRange("temp_c", float64(t), minC, maxC, "degC"); err != nil {
		return 0, err
	}
	const (
		c8, c9, c10   = -5.8002206e3, 1.3914993, -4.8640239e-2
		c11, c12, c13 = 4.1764768e-5, -1.4452093e-8, 6.5459673
	)
	T := t.Kelvin()
	return quantity.Pascal(math.Exp(c8/T + c9 + T*(c10+T*(c11+T*c12)) + c13*math.Log(T))), nil // eq. 6
}

// StandardPressure returns the pressure of the standard atmosphere at a height.
//
//	p = 101325 (1 - 2.25577e-5·Z)^5.2559
//
//	altitudeM  height above sea level  [m]   valid -5000 … 11000
//	p          pressure                [Pa]
//
// Accuracy: that of a standard atmosphere; weather moves it by 3 %.
// Errors: *calc.RangeError. Source: [ASHRAEFundamentals2017] chapter 1, eq. 3.
func StandardPressure(altitudeM float64) (quantity.Pascal, error) {
	if err := calc.CheckRange("altitude_m", altitudeM, minAltitudeM, maxAltitudeM, "m"); err != nil {
		return 0, err
	}
	return quantity.StandardAtmosphere * quantity.Pascal(math.Pow(1-2.25577e-5*altitudeM, 5.2559)), nil // eq. 3
}

// State is humid air.
type State struct {
	Temp             quantity.Celsius // dry bulb, -20 … 100 °C
	RelativeHumidity float64          // vapour pressure over saturation over liquid, 0 … 1
	Pressure         quantity.Pascal  // total, 20000 … 120000 Pa
}

func (s State) check() error {
	if err := calc.CheckRange("rh_percent", quantity.PerCent*s.RelativeHumidity, 0, quantity.PerCent, "%"); err != nil {
		return err
	}
	return calc.CheckRange("pressure_pa", float64(s.Pressure), minPressurePa, maxPressurePa, "Pa")
}

// VapourPressure returns the partial pressure of the water vapour.
//
//	p_w = RH · p_ws(t)
//
// Accuracy: as SaturationPressure. Errors: *calc.RangeError.
// Source: [ASHRAEFundamentals2017] chapter 1, eq. 12.
func (s State) VapourPressure() (quantity.Pascal, error) {
	if err := s.check(); err != nil {
		return 0, err
	}
	saturation, err := SaturationPressure(s.Temp)
	return quantity.Pascal(s.RelativeHumidity) * saturation, err
}

// Moisture is what the vapour in the air comes to.
type Moisture struct {
	Ratio         float64 // vapour per dry air, kg/kg
	DryAirM3PerKg float64 // moist air that holds a kilogram of dry air
}

// MoistureOf returns the moisture of air whose vapour pressure is known.
//
//	W = 0.621945 p_w / (p - p_w), v = R_da T (1 + 1.607858 W) / p
//
//	vapour    p_w, 0 … 0.9 of the total pressure  [Pa]
//	pressure  p, the total, above 0               [Pa]
//
// Accuracy: ideal gas, 0.1 % in v; 0.5 % in W, the enhancement factor left out.
// Errors: *calc.RangeError when the vapour pressure nears the total pressure.
// Source: [ASHRAEFundamentals2017] chapter 1, eq. 20 and 26.
func MoistureOf(t quantity.Celsius, vapour, pressure quantity.Pascal) (Moisture, error) {
	w, err := humidityRatio(float64(vapour), float64(pressure))
	// eq. 26
	return Moisture{
		Ratio: w, DryAirM3PerKg: gasConstantDryAir * t.Kelvin() * (1 + volumeFactor*w) / float64(pressure),
	}, err
}

func humidityRatio(vapourPa, pressurePa float64) (float64, error) {
	const most = 0.9 // of the total pressure; beyond it there is hardly air left
	if err := calc.CheckRange("vapour_pressure_pa", vapourPa, 0, most*pressurePa, "Pa"); err != nil {
		return 0, err
	}
	return molarMassRatio * vapourPa / (pressurePa - vapourPa), nil // eq. 20
}

// moisture is that of a checked state.
func (s State) moisture() (Moisture, error) {
	vapour, err := s.VapourPressure()
	if err != nil {
		return Moisture{}, err
	}
	return MoistureOf(s.Temp, vapour, s.Pressure)
}

// HumidityRatio returns the vapour per dry air, kg/kg.
//
//	W = 0.621945 p_w / (p - p_w)
//
// Accuracy: 0.5 %, the enhancement factor left out.
// Errors: *calc.RangeError when the vapour pressure nears the total pressure, or as VapourPressure.
// Source: [ASHRAEFundamentals2017] chapter 1, eq. 20.
func (s State) HumidityRatio() (float64, error) {
	m, err := s.moisture()
	return m.Ratio, err
}

// Volume returns the moist air that holds a kilogram of dry air, m³/kg.
//
//	v = R_da T (1 + 1.607858 W) / p
//
// Accuracy: ideal gas, 0.1 %. Errors: *calc.RangeError.
// Source: [ASHRAEFundamentals2017] chapter 1, eq. 26.
func (s State) Volume() (float64, error) {
	m, err := s.moisture()
	return m.DryAirM3PerKg, err
}

// Density returns the density of the moist air, kg/m³.
//
//	rho = (1 + W) / v
//
// Accuracy: ideal gas, 0.1 %. Errors: *calc.RangeError.
// Source: [ASHRAEFundamentals2017] chapter 1, eq. 11.
func (s State) Density() (float64, error) {
	m, err := s.moisture()
	if err != nil {
		return 0, err
	}
	return (1 + m.Ratio) / m.DryAirM3PerKg, nil // eq. 11
}

// Enthalpy returns the enthalpy per kilogram of dry air over dry air and liquid water at 0 °C, kJ/kg.
//
//	h = 1.006 t + W (2501 + 1.86 t)
//
// Accuracy: ideal gas, 0.5 %. Errors: *calc.RangeError.
// Source: [ASHRAEFundamentals2017] chapter 1, eq. 30.
func (s State) Enthalpy() (float64, error) {
	w, err := s.HumidityRatio()
	if err != nil {
		return 0, err
	}
	t := float64(s.Temp)
	return cpDryAir*t + w*(latentZeroKJ+cpVapour*t), nil // eq. 30
}

// WetBulb returns the thermodynamic wet-bulb temperature.
//
//	W = ((2501 - 2.326 t*) W_s* - 1.006 (t - t*)) / (2501 + 1.86 t - 4.186 t*)
//
//	t*   wet bulb, 0 °C … t          [°C]
//	W_s* saturated humidity ratio at t*
//
// Accuracy: 1e-9 K of the relation's root.
// Errors: *calc.RangeError; calc.ErrNoSolution where the wet bulb lies below 0 °C, over ice.
// Source: [ASHRAEFundamentals2017] chapter 1, eq. 33.
func (s State) WetBulb() (quantity.Celsius, error) {
	w, err := s.HumidityRatio()
	if err != nil {
		return 0, err
	}
	t := float64(s.Temp)
	if t <= freezingC {
		return 0, calc.ErrNoSolution
	}
	excess := func(wet float64) float64 {
		saturation, err := SaturationPressure(quantity.Celsius(wet))
		if err != nil {
			return math.NaN()
		}
		saturated, err := humidityRatio(float64(saturation), float64(s.Pressure))
		if err != nil {
			return math.NaN()
		}
		// eq. 33
		return ((latentZeroKJ-wetBulbSlope*wet)*saturated-cpDryAir*(t-wet))/(latentZeroKJ+cpVapour*t-cpLiquid*wet) - w
	}
	wet, err := numeric.Root(excess, freezingC, t, temperatureTolerance)
	return quantity.Celsius(wet), err
}

// DewPoint returns the temperature at which the vapour would begin to condense.
//
//	p_ws(t_d) = p_w
//
// Accuracy: 1e-9 K of the relation's root.
// Errors: *calc.RangeError; calc.ErrNoSolution where it lies below 0 °C, over ice.
// Source: [ASHRAEFundamentals2017] chapter 1, by inversion of eq. 6.
func (s State) DewPoint() (quantity.Celsius, error) {
	vapour, err := s.VapourPressure()
	if err != nil {
		return 0, err
	}
	if float64(s.Temp) <= freezingC {
		return 0, calc.ErrNoSolution
	}
	excess := func(t float64) float64 {
		saturation, err := SaturationPressure(quantity.Celsius(t))
		if err != nil {
			return math.NaN()
		}
		return float64(saturation - vapour)
	}
	dew, err := numeric.Root(excess, freezingC, float64(s.Temp), temperatureTolerance)
	return quantity.Celsius(dew), err
}
