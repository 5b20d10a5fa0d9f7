package instrument

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
	"saltwright/internal/calc/seawater"
)

func interpret(t *testing.T, in Input) Result {
	t.Helper()
	in.Pair = seawater.Pair25
	r, err := Interpret(in)
	require.NoError(t, err)
	return r
}

func part(t *testing.T, r Result, cause string) float64 {
	t.Helper()
	for _, p := range r.Parts {
		if p.Cause == cause {
			return p.PSU
		}
	}
	require.Fail(t, "no part "+cause)
	return 0
}

func causes(r Result) []string {
	var out []string
	for _, p := range r.Parts {
		out = append(out, p.Cause)
	}
	return out
}

// Worked by hand: on a scale of salinity a reading's 0.3 and the relation's 0.15 stay what they are, an instrument
// never checked brings 1, and JCGM 100 adds squares: u² = 0.09 + 0.0225 + 1, the interval is ±2u.
func TestPartsByHand(t *testing.T) {
	r := interpret(t, Input{Scale: seawater.ScaleRefractometerSeawater, Reading: 35, Sample: 25})
	assert.Equal(t, []string{"never_checked", "reading", "relation"}, causes(r))
	assert.InDelta(t, 1, part(t, r, "never_checked"), 1e-12)
	assert.InDelta(t, 0.3, part(t, r, "reading"), 1e-12)
	assert.InDelta(t, 0.15, part(t, r, "relation"), 1e-12)
	assert.InDelta(t, math.Sqrt(1.1125), r.UncertaintyPSU, 1e-12)
	assert.InDelta(t, 35-2*math.Sqrt(1.1125), r.Low95, 1e-9)
	assert.InDelta(t, 35+2*math.Sqrt(1.1125), r.High95, 1e-9)
	assert.Zero(t, r.Correction, "nothing is added to a reading nobody checked")

	r = interpret(t, Input{Scale: seawater.ScaleRefractometerSeawater, Reading: 0.5, Sample: 25})
	assert.Zero(t, r.Low95, "no salinity is negative")

	// Six months of 30.4 days at 0.3 a month; equal parts stand in the order they arise.
	set := &Calibration{Fluid: SeaWater, Value: 35, Shown: 35, FluidC: 20}
	in := Input{Scale: seawater.ScaleRefractometerSeawater, Reading: 35, Sample: 25, Calibration: set}
	assert.Equal(t, []string{"reading", "relation", "fluid", "drift", "distance"}, causes(interpret(t, in)))
	set.DaysAgo = 182.4
	assert.InDelta(t, 1.8, part(t, interpret(t, in), "drift"), 1e-9)
}

// EOS-80 (UNESCO 44, from memory): sea water of 35 has 1024.763 kg/m3 at 20 °C and 1021.729 at 30 °C, and a part in a
// thousand more salt adds 0.75. A hydrometer read as it floats is out by 3.034/10/0.75 = 0.40 for each kelvin.
func TestTemperatureOfAHydrometersSample(t *testing.T) {
	in := Input{Scale: seawater.ScaleSpecificGravityAsRead, Reading: 1.0264, Sample: 25}
	assert.NotContains(t, causes(interpret(t, in)), "temperature", "a sample known exactly brings nothing")
	in.SampleUncertaintyK = 2
	assert.InDelta(t, 0.81, part(t, interpret(t, in), "temperature"), 0.02)
}

// The handbook's conductivity of a 2 % solution at 20 °C is 30.2 mS/cm [CRCHandbook]; 37.1 g/kg stands for 35 under a
// hydrometer (common practice, no source), whose specific gravity is 1023.343/997.047 = 1.0264 (UNESCO 44).
func TestBrineUnderMeterAndHydrometer(t *testing.T) {
	in := Input{
		Scale: seawater.ScaleConductivity, Reading: 45, Sample: 25,
		Calibration: &Calibration{Fluid: SodiumChloride, Value: 20, Shown: 30.2, FluidC: 20},
	}
	r := interpret(t, in)
	assert.InDelta(t, 30.2, r.FluidShouldBe, 1e-6)
	assert.InDelta(t, 1, r.Correction, 1e-6)

	r = interpret(t, Input{
		Scale: seawater.ScaleSpecificGravityAsRead, Reading: 1.0264, Sample: 25,
		Calibration: &Calibration{Fluid: SodiumChloride, Value: 37.1, Shown: 1.0264, FluidC: 25},
	})
	assert.InDelta(t, 1.0264, r.FluidShouldBe, 2e-4)
	assert.InDelta(t, 0, part(t, r, "distance"), 0.02, "the fluid stood for what is read")
}

// Brine under a refractometer: 36.5 g/kg stands for 35 (common practice, no source), 36.5/0.9635 = 37.9 g to a kilogram
// of water.
func TestSaltForAKilogramOfWater(t *testing.T) {
	r := interpret(t, Input{Scale: seawater.ScaleRefractometerSeawater, Reading: 35, Sample: 25})
	assert.InDelta(t, 37.9, r.BrinePerKgG, 0.3)
}

// A meter wrong by a factor of two is broken or mistyped; anything less is corrected.
func TestTheGainThatIsTooLarge(t *testing.T) {
	in := Input{
		Scale: seawater.ScaleConductivity, Reading: 50, Sample: 25,
		Calibration: &Calibration{Fluid: SeaWater, Value: 35, Shown: 53, FluidC: 25},
	}
	assert.InDelta(t, 1, interpret(t, Input{Scale: in.Scale, Reading: 50, Sample: 25}).Correction, 0, "never checked")
	should := interpret(t, in).FluidShouldBe
	for _, c := range []struct {
		factor  float64
		refused bool
	}{{0.5, true}, {0.6, false}, {1.9, false}, {2, true}} {
		in.Calibration.Shown, in.Reading, in.Pair = should*c.factor, 30, seawater.Pair25
		_, err := Interpret(in)
		var conflict *calc.ConflictError
		assert.Equal(t, c.refused, errors.As(err, &conflict), "%v times what it should show", c.factor)
	}
}

// What is refused is named as the reader gave it.
func TestRangesNameTheirFields(t *testing.T) {
	for param, change := range map[string]func(*Input){
		"reading":              func(in *Input) { in.Reading = 500 },
		"sample_uncertainty_k": func(in *Input) { in.SampleUncertaintyK = 5.01 },
		"drift_psu_month":      func(in *Input) { drift := 20.01; in.DriftPSUPerMonth = &drift },
		"fluid_value":          func(in *Input) { in.Calibration.Value = 42.01 },
		"fluid_c":              func(in *Input) { in.Calibration.FluidC = -0.01 },
		"days_ago":             func(in *Input) { in.Calibration.DaysAgo = 3650.1 },
		"shown":                func(in *Input) { in.Calibration.Shown = 200.1 },
	} {
		in := Input{
			Scale: seawater.ScaleConductivity, Reading: 50, Sample: 25, Pair: seawater.Pair25,
			Calibration: &Calibration{Fluid: SeaWater, Value: 35, Shown: 53, FluidC: 25},
		}
		change(&in)
		_, err := Interpret(in)
		var out *calc.RangeError
		if assert.ErrorAs(t, err, &out, param) {
			assert.Equal(t, param, out.Param)
		}
	}
}
