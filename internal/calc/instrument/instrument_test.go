package instrument

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/reference"
	"saltwright/internal/calc/seawater"
)

// Poradnik fizykochemiczny, WNT, Warszawa 1974, density of sodium chloride solutions (seen in a university's
// transcription): another table than the one the relation goes through. Values at 20 °C, and at 15 °C by the
// table's own coefficient of 0.22 and 0.28 kg/m3 per kelvin; its column headed 15 °C fits neither that nor
// [RogersPitzer1982], and its row for 2 % not its neighbours: both are left out.
func TestBrineDensityAgreesWithAnotherHandbook(t *testing.T) {
	for _, c := range []struct{ gKg, at, want float64 }{
		{10, 15, 1005.3 + 5*0.22}, {10, 20, 1005.3}, {40, 15, 1026.8 + 5*0.28}, {40, 20, 1026.8},
	} {
		got, err := BrineDensity(c.gKg, quantity.Celsius(c.at))
		require.NoError(t, err)
		// digits 0.1, and the tables' own disagreement
		assert.InDelta(t, c.want, got, 0.2, "%v g/kg at %v", c.gKg, c.at)
		t.Logf("%v g/kg at %v °C: %.2f for %.2f kg/m3", c.gKg, c.at, got, c.want)
	}
	// The relation's own table is met in its points: 0.5 mol/kg at 25 °C.
	w := 0.5 * sodiumChlorideGPerMol / (1 + 0.5*sodiumChlorideGPerMol/1000)
	got, err := BrineDensity(w, 25)
	require.NoError(t, err)
	assert.InDelta(t, 1000/0.983185, got, 1e-9)
}

// CRC Handbook, electrical conductivity of aqueous solutions at 20 °C, sodium chloride (from memory):
// 0.5 % is none of the three points the relation goes through.
func TestBrineConductivity(t *testing.T) {
	for _, c := range []struct{ gKg, want, within float64 }{
		{10, 16.0, 1e-9}, {20, 30.2, 1e-9}, {50, 70.1, 1e-9}, {5, 8.2, 0.2},
	} {
		got, err := BrineConductivity(c.gKg)
		require.NoError(t, err)
		assert.InDelta(t, c.want, got, c.within, "%v g/kg", c.gKg)
	}
}

// What stands for 35: common practice among keepers who mix their own check fluids puts 36.5 g/kg under a
// refractometer and 37.1 g/kg under a hydrometer (no source).
func TestBrineThatStandsFor35(t *testing.T) {
	for scale, want := range map[seawater.Scale]float64{
		seawater.ScaleRefractometerSeawater: 36.5, seawater.ScaleRefractometerBrine: 36.5,
		seawater.ScaleSpecificGravityAsRead: 37.1,
	} {
		got, err := BrineFor(scale, 35, 25)
		require.NoError(t, err)
		assert.InDelta(t, want, got, 0.3, scale)
		t.Logf("%s: %.2f g/kg stands for 35", scale, got)
	}
	got, err := BrineFor(seawater.ScaleMeter25, 35, 25)
	require.NoError(t, err)
	assert.InDelta(t, 33, got, 1)
}

// The columns of salinity_conductivity.csv show what a meter with linear compensation displays; its inverse is
// the true salinity, and reading the display at its word gives the table's wrong one.
func TestMeterWithLinearCompensationAgreesWithTable(t *testing.T) {
	var worst reference.Worst
	rows := 0
	for _, row := range reference.Load(t, "salinity_conductivity.csv") {
		at, sp := row.F(t, "t_degC"), row.F(t, "sp")
		if at == 25 || sp < 2 {
			continue
		}
		r, err := Interpret(Input{
			Scale: seawater.ScaleMeter25, Reading: row.F(
				t, "c25_by_linear_1p91_mS_per_cm",
			), Sample: quantity.Celsius(at), Pair: seawater.Pair25, MeterPercentPerK: 1.91,
			// a row of the table itself
			Calibration: &Calibration{Fluid: SeaWater, Value: 17, Shown: 27.6826952, FluidC: 25},
		})
		require.NoError(t, err)
		worst.Absolute(t, sp, r.LikelyPSU, 1e-6, row["sp"]+" at "+row["t_degC"])
		rows++
	}
	require.Greater(t, rows, 50)
	t.Logf("linear meter: worst %.2g", worst.Difference)
}

func TestRefractometerSetWithTheWrongFluidReadsWrong(t *testing.T) {
	// Sea water of 36 under a sea-water scale that was set to 35 in a brine of 35 g/kg. The brine stands for 33.6,
	// so the instrument shows too much.
	brine := &Calibration{Fluid: SodiumChloride, Value: 35, Shown: 35, FluidC: 20}
	r, err := Interpret(Input{
		Scale: seawater.ScaleRefractometerSeawater, Reading: 36, Sample: 20, Pair: seawater.Pair25, Calibration: brine,
	})
	require.NoError(t, err)
	assert.InDelta(t, 33.6, r.FluidShouldBe, 0.1)
	assert.InDelta(t, 36-(35-r.FluidShouldBe), r.LikelyPSU, 1e-9)
	assert.InDelta(t, 1.4, r.FluidErrorPSU, 0.1)

	brine.Value = 36.4
	r, err = Interpret(Input{
		Scale: seawater.ScaleRefractometerSeawater, Reading: 36, Sample: 20, Pair: seawater.Pair25, Calibration: brine,
	})
	require.NoError(t, err)
	assert.InDelta(t, 36, r.LikelyPSU, 0.1, "the right brine changes nothing")
}

func TestMeterGainAndHydrometerOffset(t *testing.T) {
	r, err := Interpret(Input{
		Scale: seawater.ScaleConductivity, Reading: 50.0, Sample: 25, Pair: seawater.Pair25,
		Calibration: &Calibration{Fluid: SeaWater, Value: 35, Shown: 52.0, FluidC: 25},
	})
	require.NoError(t, err)
	// PSS-78: C(35, 25 °C IPTS-68) = 53.0648 mS/cm, at 25 °C ITS-90 0.0063 more
	want, err := seawater.PracticalFromConductivity(50.0*53.0711/52, 25)
	require.NoError(t, err)
	assert.InDelta(t, float64(want), r.LikelyPSU, 0.002)

	r, err = Interpret(Input{
		Scale: seawater.ScaleSpecificGravityAsRead, Reading: 1.027, Sample: 25, Pair: seawater.Pair25,
		Calibration: &Calibration{Fluid: PureWater, Shown: 1.001, FluidC: 25},
	})
	require.NoError(t, err)
	same, err := Interpret(Input{
		Scale: seawater.ScaleSpecificGravityAsRead, Reading: 1.026, Sample: 25, Pair: seawater.Pair25,
	})
	require.NoError(t, err)
	assert.InDelta(t, same.FaceValuePSU, r.LikelyPSU, 1e-6)
}

func TestUncertaintyKnowsItsCauses(t *testing.T) {
	in := Input{
		Scale: seawater.ScaleRefractometerSeawater, Reading: 35, Sample: 25, SampleUncertaintyK: 0.5,
		Pair: seawater.Pair25,
	}
	never, err := Interpret(in)
	require.NoError(t, err)
	assert.Equal(t, "never_checked", never.Parts[0].Cause)
	in.Calibration = &Calibration{Fluid: PureWater, Shown: 0, FluidC: 20}
	pure, err := Interpret(in)
	require.NoError(t, err)
	assert.Equal(t, "distance", pure.Parts[0].Cause, "zeroed in pure water, 35 is far away")
	in.Calibration = &Calibration{Fluid: SeaWater, Value: 35, Shown: 35, FluidC: 20}
	near, err := Interpret(in)
	require.NoError(t, err)
	assert.Less(t, near.UncertaintyPSU, pure.UncertaintyPSU)
	assert.Less(t, pure.UncertaintyPSU, never.UncertaintyPSU+0.2)
	in.Calibration.DaysAgo = 365
	old, err := Interpret(in)
	require.NoError(t, err)
	assert.Equal(t, "drift", old.Parts[0].Cause)
	sum, shares := 0.0, 0.0
	for _, p := range old.Parts {
		sum += p.PSU * p.PSU
		shares += p.Share
	}
	assert.InDelta(t, old.UncertaintyPSU*old.UncertaintyPSU, sum, 1e-12)
	assert.InDelta(t, 1, shares, 1e-12)
}

func TestInterpretRefuses(t *testing.T) {
	for name, in := range map[string]Input{
		"no instrument": {Scale: seawater.ScaleChlorinity, Reading: 19, Pair: seawater.Pair25},
		"meter in water": {Scale: seawater.ScaleMeter25, Reading: 53, Sample: 25, Pair: seawater.Pair25,
			MeterPercentPerK: 2, Calibration: &Calibration{Fluid: PureWater, FluidC: 25}},
		"a fluid unknown": {Scale: seawater.ScaleMeter25, Reading: 53, Sample: 25, Pair: seawater.Pair25,
			Calibration: &Calibration{Fluid: "milk"}},
		"a gain too large": {Scale: seawater.ScaleMeter25, Reading: 53, Sample: 25, Pair: seawater.Pair25,
			Calibration: &Calibration{Fluid: SeaWater, Value: 35, Shown: 5, FluidC: 25}},
		"corrected away": {Scale: seawater.ScaleRefractometerSeawater, Reading: 2, Sample: 25, Pair: seawater.Pair25,
			Calibration: &Calibration{Fluid: SeaWater, Value: 30, Shown: 40, FluidC: 25}},
	} {
		_, err := Interpret(in)
		var conflict *calc.ConflictError
		assert.ErrorAs(t, err, &conflict, name)
	}
	_, err := Interpret(Input{Scale: seawater.ScaleMeter25, Reading: 500, Sample: 25, Pair: seawater.Pair25})
	var out *calc.RangeError
	assert.ErrorAs(t, err, &out)
}

// A kelvin is worth nearly as much at the ends of 0 … 40 °C as just inside them.
func TestTemperatureMattersAtTheEdgesToo(t *testing.T) {
	effect := func(at quantity.Celsius) float64 {
		in := Input{Scale: seawater.ScaleConductivity, Reading: 30, Sample: at, Pair: seawater.Pair25}
		return in.temperatureEffect(in.Reading)
	}
	assert.InEpsilon(t, effect(0.6), effect(0), 0.05)
	assert.InEpsilon(t, effect(39.4), effect(40), 0.05)
}
