package moistair

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/reference"
)

// Source: testdata/reference/psychrometrics.csv (psychrolib, the same equations).
func TestPsychrometricsTable(t *testing.T) {
	var w reference.Worst
	const tolerance = 1e-6 // the same equations; the table has nine digits
	for i, r := range reference.Load(t, "psychrometrics.csv") {
		at := func(column string) string { return fmt.Sprintf("row %d %s", i+1, column) }
		pressure, err := StandardPressure(r.F(t, "altitude_m"))
		require.NoError(t, err)
		w.Relative(t, r.F(t, "pressure_Pa"), float64(pressure), tolerance, at("pressure"))
		s := State{
			Temp: quantity.Celsius(r.F(t, "t_dry_bulb_degC")), RelativeHumidity: r.F(t, "rh_percent") / 100,
			Pressure: quantity.Pascal(r.F(t, "pressure_Pa")),
		}
		saturation, err := SaturationPressure(s.Temp)
		require.NoError(t, err)
		w.Relative(t, r.F(t, "p_sat_water_Pa"), float64(saturation), tolerance, at("p_sat"))
		vapour, err := s.VapourPressure()
		require.NoError(t, err)
		w.Relative(t, r.F(t, "p_vapour_Pa"), float64(vapour), tolerance, at("p_vapour"))
		for column, f := range map[string]func() (float64, error){
			"humidity_ratio_kg_per_kg_dry": s.HumidityRatio, "moist_air_density_kg_per_m3": s.Density,
			"moist_air_volume_m3_per_kg_dry": s.Volume, "enthalpy_kJ_per_kg_dry": s.Enthalpy,
		} {
			got, err := f()
			require.NoError(t, err)
			w.Relative(t, r.F(t, column), got, tolerance, at(column))
		}
		for column, f := range map[string]func() (quantity.Celsius, error){"wet_bulb_degC": s.WetBulb,
			"dew_point_degC": s.DewPoint} {
			got, err := f()
			if !r.Has(column) {
				assert.ErrorIs(t, err, calc.ErrNoSolution, at(column))
				continue
			}
			require.NoError(t, err)
			w.Absolute(t, r.F(t, column), float64(got), 1e-6, at(column)) // K; the table has nine digits
		}
	}
	t.Logf("worst disagreement %.1e at %s", w.Difference, w.Where)
}

// ASHRAE Handbook Fundamentals 2017, chapter 1, table 3, as quoted in the test-suite of
// psychrolib (published_checks.csv): 3169.7 Pa at 25 °C, the formula good to 300 ppm.
func ExampleSaturationPressure() {
	p, err := SaturationPressure(25)
	fmt.Printf("%.0f Pa, error %v", float64(p), err)
	// Output: 3169 Pa, error <nil>
}

func TestSaturationPressureLimitsAndMonotonicity(t *testing.T) {
	last := 0.0
	for c := -20.0; c <= 100; c += 0.5 {
		p, err := SaturationPressure(quantity.Celsius(c))
		require.NoError(t, err)
		assert.Greater(t, float64(p), last)
		last = float64(p)
	}
	for _, c := range []float64{-20.001, 100.001, math.NaN(), math.Inf(1)} {
		_, err := SaturationPressure(quantity.Celsius(c))
		var out *calc.RangeError
		require.ErrorAs(t, err, &out)
		assert.Equal(t, "temp_c", out.Param)
	}
}

func TestStateLimits(t *testing.T) {
	good := State{Temp: 20, RelativeHumidity: 0.5, Pressure: 101325}
	for name, s := range map[string]State{
		"rh above 1":    {Temp: 20, RelativeHumidity: 1.01, Pressure: 101325},
		"rh below 0":    {Temp: 20, RelativeHumidity: -0.01, Pressure: 101325},
		"no pressure":   {Temp: 20, RelativeHumidity: 0.5},
		"too hot":       {Temp: 101, RelativeHumidity: 0.5, Pressure: 101325},
		"boiling":       {Temp: 99.9, RelativeHumidity: 1, Pressure: 101325},
		"not a number":  {Temp: quantity.Celsius(math.NaN()), RelativeHumidity: 0.5, Pressure: 101325},
		"nan humidity":  {Temp: 20, RelativeHumidity: math.NaN(), Pressure: 101325},
		"huge pressure": {Temp: 20, RelativeHumidity: 0.5, Pressure: 1e6},
	} {
		for _, f := range []func() (float64, error){s.HumidityRatio, s.Volume, s.Density, s.Enthalpy} {
			_, err := f()
			var out *calc.RangeError
			assert.ErrorAs(t, err, &out, name)
		}
		_, err := s.WetBulb()
		assert.Error(t, err, name)
		_, err = s.DewPoint()
		if name != "boiling" { // its dew point is its own temperature
			assert.Error(t, err, name)
		}
	}
	for _, altitude := range []float64{-5000.1, 11000.1, math.NaN()} {
		_, err := StandardPressure(altitude)
		assert.Error(t, err)
	}
	wet, err := good.WetBulb()
	require.NoError(t, err)
	dew, err := good.DewPoint()
	require.NoError(t, err)
	assert.Less(t, float64(dew), float64(wet))
	assert.Less(t, float64(wet), 20.0)
	cold := good
	cold.Temp = -5
	_, err = cold.WetBulb()
	assert.ErrorIs(t, err, calc.ErrNoSolution)
	_, err = cold.DewPoint()
	assert.ErrorIs(t, err, calc.ErrNoSolution)
}

func FuzzState(f *testing.F) {
	f.Add(20.0, 0.5, 101325.0)
	f.Add(-40.0, 2.0, 0.0)
	f.Fuzz(func(t *testing.T, c, rh, p float64) {
		s := State{Temp: quantity.Celsius(c), RelativeHumidity: rh, Pressure: quantity.Pascal(p)}
		for _, g := range []func() (float64, error){s.HumidityRatio, s.Volume, s.Density, s.Enthalpy} {
			if v, err := g(); err == nil && (math.IsNaN(v) || math.IsInf(v, 0)) {
				t.Fatalf("%+v gives %g", s, v)
			}
		}
		for _, g := range []func() (quantity.Celsius, error){s.WetBulb, s.DewPoint} {
			if v, err := g(); err == nil && (math.IsNaN(float64(v)) || v > s.Temp) {
				t.Fatalf("%+v gives %g", s, float64(v))
			}
		}
	})
}
