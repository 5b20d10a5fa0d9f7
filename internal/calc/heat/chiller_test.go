package heat

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
	"saltwright/internal/calc/moistair"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/reference"
)

func chillerInput() ChillerInput {
	return ChillerInput{
		System: system(), Coldest: room(20, 0.5), Usual: room(24, 0.5), Warmest: room(33, 0.5),
		SetpointC: 25.5, HarmLowC: 21.5, HarmHighC: 29.5, MarginPercent: 25, COP: 2.5, PullDownK: 2,
	}
}

// ASHRAE Handbook Fundamentals, definitions (from memory): COP is heat removed over work put in, so that the
// condenser gives off heat (1 + 1/COP); NIST SP 811 appendix B.8: 1 ton of refrigeration = 12 000 Btu/h = 3516.853 W.
func TestChillerKeepsEnergy(t *testing.T) {
	r, err := SizeChiller(chillerInput())
	require.NoError(t, err)
	require.True(t, r.Needed)
	assert.InDelta(t, r.NeededW, -r.Warmest.NetW.Low, 1e-9)
	assert.InDelta(t, r.RecommendedW*(1+1/2.5), r.RejectedW, 1e-9)
	assert.InDelta(t, 3516.853, 12000/quantity.BTUPerHour(1), 0.001)
	// The chiller that is just enough holds the setpoint: gains less chiller are the loss there.
	at, err := Equilibrium(EquilibriumInput{
		System: system(), Room: room(33, 0.5), Gains: GainsAll, HeaterW: -r.NeededW, Evaporate: EvaporationLow,
	})
	require.NoError(t, err)
	assert.InDelta(t, 25.5, float64(at), 1e-6)
	dead, err := Equilibrium(EquilibriumInput{
		System: system(), Room: room(33, 0.5), Gains: GainsAll, Evaporate: EvaporationLow,
	})
	require.NoError(t, err)
	assert.InDelta(t, float64(dead), r.Dead.EquilibriumC, 1e-6)
}

// Water that condenses on the tank gives it 2.4 MJ/kg: over 1.5 by 0.7 m in a room of 34 °C and 80 to 90 % humidity
// the handbook's equation, its sign turned round, gives 86 to 171 W at 0.1 m/s over water of 25 °C.
// Source: [ASHRAEApplications], [SmithLofJones1998].
func TestChillerCountsCondensation(t *testing.T) {
	for _, c := range []struct{ rh, expectedW, highW float64 }{{0.8, 86, 117}, {0.9, 126, 171}} {
		in := chillerInput()
		in.System.Display.LengthMM, in.System.Display.WidthMM, in.System.Sump = 1500, 700, nil
		in.SetpointC, in.Warmest = 25, room(34, c.rh)
		in.Warmest.AirSpeedMS = 0.1
		r, err := SizeChiller(in)
		require.NoError(t, err)
		require.True(t, r.Warmest.Evaporation.Condensing)
		assert.InEpsilon(t, c.expectedW, -r.Warmest.LatentW.Expected, 0.01)
		assert.InEpsilon(t, c.highW, -r.Warmest.LatentW.Low, 0.01)
		assert.Zero(t, r.Warmest.LatentW.High, "a still layer may keep it off")
		assert.InDelta(t, r.Warmest.GainsW-r.Warmest.DryW+c.highW, r.NeededW, 2)
		assert.InDelta(t, r.NeededW, -r.Warmest.NetW.Low, 1e-9)
	}
}

func TestChillerFailures(t *testing.T) {
	in := chillerInput()
	r, err := SizeChiller(in)
	require.NoError(t, err)
	require.True(t, r.Dead.Harms)
	assert.True(t, r.StuckOn.Harms, "in the coldest room a stuck chiller chills past 21.5 °C")
	assert.True(t, r.PullsDown)
	in.Usual, in.Warmest = room(21, 0.5), room(22, 0.5)
	cool, err := SizeChiller(in)
	require.NoError(t, err)
	assert.False(t, cool.Needed)
	assert.Zero(t, cool.RecommendedW)
	assert.False(t, cool.Dead.Harms)
	// An ever warmer room takes an ever larger chiller.
	last := 0.0
	for c := 30.0; c <= 40; c++ {
		in.Warmest = room(c, 0.5)
		w, err := SizeChiller(in)
		require.NoError(t, err)
		assert.Greater(t, w.NeededW, last)
		last = w.NeededW
	}
	in.COP = 0.1
	_, err = SizeChiller(in)
	var out *calc.RangeError
	assert.ErrorAs(t, err, &out)
}

func fan(roomC, rh float64) CoolingFanInput {
	return CoolingFanInput{
		Fan:     FanInput{System: system(), Water: 26, Room: room(roomC, rh), Gains: GainsAverage, FanSpeedMS: 2},
		TargetC: 26, RoomM3: 50, AirChangesH: 0.5, FanW: 5,
	}
}

// psychrometrics.csv (psychrolib): in a room whose air is at the row's state, a source that adds the row's whole
// vapour content to dry outdoor air is G = n V rho_dry w; our rise must then be the row's relative humidity.
func TestHumidityRiseAgreesWithTable(t *testing.T) {
	var worst reference.Worst
	for i, row := range reference.Load(t, "psychrometrics.csv") {
		in := fan(row.F(t, "t_dry_bulb_degC"), 0.5)
		in.Fan.Room.Air.Pressure = quantity.Pascal(row.F(t, "pressure_Pa"))
		w := row.F(t, "humidity_ratio_kg_per_kg_dry")
		vapour := w / row.F(t, "moist_air_volume_m3_per_kg_dry") // kg of vapour in a m3
		got := in.humidityRise(vapour * in.AirChangesH * in.RoomM3)
		worst.Relative(t, row.F(t, "rh_percent")/100, got, 2e-4, fmt.Sprint(i)) // the gas constants' digits
	}
	t.Logf("humidity rise: worst %.2g", worst.Difference)
}

func TestFanInADryRoomHoldsAndInAWetOneCannot(t *testing.T) {
	dry, err := CoolingFan(fan(28, 0.4))
	require.NoError(t, err)
	assert.True(t, dry.Holds)
	assert.Positive(t, dry.GainedK)
	assert.Greater(t, dry.RHAfter, 0.4)
	assert.Positive(t, dry.AddedKgH)

	wet, err := CoolingFan(fan(31, 0.9))
	require.NoError(t, err)
	assert.True(t, wet.Impossible, "the wet bulb of 31 °C at 90 % is above 26 °C")
	assert.False(t, wet.Holds)
	assert.Positive(t, wet.RemainingW)
	assert.Zero(t, wet.SpeedNeeded)

	closed := fan(28, 0.4)
	closed.AirChangesH = 0.02
	damp, err := CoolingFan(closed)
	require.NoError(t, err)
	assert.Greater(t, damp.RHAfter, dry.RHAfter, "less outdoor air, moister room")
	assert.Less(t, damp.GainedK, dry.GainedK, "and less cooling")

	// No fan brings water below the wet bulb.
	for _, rh := range []float64{0.2, 0.4, 0.6, 0.8} {
		in := fan(30, rh)
		in.Fan.System.Gains = nil
		in.Fan.FanSpeedMS = 3
		r, err := CoolingFan(in)
		require.NoError(t, err)
		wb, err := moistair.State{
			Temp: 30, RelativeHumidity: r.RHAfter, Pressure: quantity.StandardAtmosphere,
		}.WetBulb()
		require.NoError(t, err)
		assert.Greater(
			t, r.Fan.WithC, float64(wb)-0.3,
			"dry loss warms, evaporation cools; the films' ratio is not exactly Lewis's",
		)
	}
}

func TestSpeedNeededHolds(t *testing.T) {
	in := fan(30, 0.5)
	in.TargetC, in.Fan.FanSpeedMS = 27, 0.3
	r, err := CoolingFan(in)
	require.NoError(t, err)
	require.False(t, r.Holds)
	require.Positive(t, r.SpeedNeeded)
	blown := in.Fan.Room
	blown.Air.RelativeHumidity = r.RHAfter
	at, err := Equilibrium(EquilibriumInput{
		System: system(), Room: blown, FanSpeed: r.SpeedNeeded, Gains: GainsAverage, Evaporate: EvaporationExpected,
	})
	require.NoError(t, err)
	assert.InDelta(t, in.TargetC, float64(at), 1e-3)
}

func TestCorrectionScalesTheBalance(t *testing.T) {
	in := BalanceInput{System: system(), Water: 25, Room: room(20, 0.5), Gains: GainsNone}
	plain, err := Balance(in)
	require.NoError(t, err)
	in.System.Correction = &Correction{DryFactor: 1.2, EvaporationFactor: 0.5, EvaporationUncertaintyPercent: 10}
	r, err := Balance(in)
	require.NoError(t, err)
	assert.InEpsilon(t, 1.2*plain.DryW, r.DryW, 1e-12)
	assert.InEpsilon(t, 0.5*plain.LatentW.Expected, r.LatentW.Expected, 1e-12)
	assert.InEpsilon(t, 0.55*plain.LatentW.Expected, r.LatentW.High, 1e-12)
	assert.InEpsilon(t, 0.45*plain.LatentW.Expected, r.LatentW.Low, 1e-12)
	in.System.Correction = &Correction{DryFactor: 1}
	same, err := Balance(in)
	require.NoError(t, err)
	assert.Equal(t, plain.NetW, same.NetW)
	in.System.Correction = &Correction{DryFactor: math.NaN()}
	_, err = Balance(in)
	var out *calc.RangeError
	assert.ErrorAs(t, err, &out)
}
