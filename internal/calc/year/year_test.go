package year

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
	"saltwright/internal/calc/evaporation"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/moistair"
	"saltwright/internal/calc/quantity"
)

func room(airC, rh float64) heat.Surroundings {
	return heat.Surroundings{
		Air: moistair.State{
			Temp: quantity.Celsius(airC), RelativeHumidity: rh, Pressure: quantity.StandardAtmosphere,
		},
		AirSpeedMS: 0.1,
	}
}

func input(t *testing.T) Input {
	t.Helper()
	in := Input{
		System: heat.System{
			Display: heat.Vessel{
				LengthMM: 1200, WidthMM: 500, WaterDepthMM: 500, FreeboardMM: 50, WallMM: 12, Material: heat.Glass,
				BottomResistanceM2KPW: 0.3, Lid: evaporation.LidOpen,
			},
			VolumeL: 280, Salinity: 35,
			Gains: []heat.Gain{
				{Name: "pump", PowerW: 30, WaterShare: 1, HoursPerDay: 24},
				{Name: "light", PowerW: 120, WaterShare: 0.3, HoursPerDay: 10},
			},
		},
		SetpointC: 25, HighestHoldC: 27, ColdWeekK: 2, WarmWeekK: 2, OtherW: 80, PricePerKWh: 0.3, PricePerM3: 4,
		ReservoirL: 40, WaterChangePct: 20,
	}
	for i := range in.Months {
		typical, err := Typical(i, false)
		require.NoError(t, err)
		in.Months[i] = room(typical.TempC, typical.RHPercent/100)
	}
	return in
}

// The energy of a year with one and the same room is power times time. The mean Gregorian year has 365.2425 days
// (its definition); twelve months with February at 28.25 days have 365.25, the Julian year.
func TestAYearOfOneRoomIsPowerTimesTime(t *testing.T) {
	in := input(t)
	for i := range in.Months {
		in.Months[i] = room(19, 0.45)
	}
	r, err := Run(in)
	require.NoError(t, err)
	b, err := heat.Balance(heat.BalanceInput{
		System: in.System, Water: 25, Room: room(19, 0.45), Gains: heat.GainsAverage,
	})
	require.NoError(t, err)
	assert.InEpsilon(t, b.NetW.Expected*365.25*24/1000, r.HeaterKWh, 1e-12)
	assert.InEpsilon(t, b.EvaporatedLPerDay.Expected*365.25/1000, r.TopOffM3, 1e-12)
	assert.InEpsilon(t, 80*365.25*24/1000, r.OtherKWh, 1e-12)
	assert.InEpsilon(t, (r.HeaterKWh+r.OtherKWh)*0.3, r.EnergyCost, 1e-12)
	assert.InEpsilon(t, (r.TopOffM3+0.28*0.2*12)*4, r.WaterCost, 1e-12)
	assert.Equal(t, 1, r.Heater.Month, "the first of equals")
}

// ASHRAE Handbook Fundamentals, energy estimating (from memory): by the degree-day method a year's heat is 24 UA
// times the degree-days below the balance point, which without gains is the setpoint.
func TestYearAgreesWithDegreeDays(t *testing.T) {
	in := input(t)
	in.System.Gains = nil
	in.System.Display.Lid = evaporation.LidClosed
	r, err := Run(in)
	require.NoError(t, err)
	b, err := heat.Balance(heat.BalanceInput{System: in.System, Water: 25, Room: in.Months[3], Gains: heat.GainsNone})
	require.NoError(t, err)
	ua := (b.DryW + b.LatentW.Expected) / (25 - float64(in.Months[3].Air.Temp))
	degreeDays := 0.0
	for i, m := range in.Months {
		degreeDays += Days[i] * (25 - float64(m.Air.Temp))
	}
	assert.InEpsilon(t, 24*ua*degreeDays/1000, r.HeaterKWh, 0.08, "films and evaporation are not quite straight")
	t.Logf("year %.0f kWh, degree-days %.0f kWh", r.HeaterKWh, 24*ua*degreeDays/1000)
}

func TestWorstWeeksFallWhereTheyShould(t *testing.T) {
	in := input(t)
	r, err := Run(in)
	require.NoError(t, err)
	assert.Contains(t, []int{1, 2, 12}, r.Heater.Month)
	assert.Contains(t, []int{7, 8}, r.Cooling.Month)
	assert.Contains(t, []int{7, 8}, r.WarmestMonth)
	assert.InDelta(t, 18, r.Heater.AirC, 1e-9)
	assert.InDelta(t, 40/r.Evaporation.Value, r.ReservoirDays, 1e-9)
	for _, m := range r.Months {
		assert.LessOrEqual(t, m.HeatingW, r.Heater.Value)
		assert.LessOrEqual(t, m.EvaporationLD.High, r.Evaporation.Value+1e-9)
		assert.GreaterOrEqual(t, m.WaterC, 25.0)
	}
	// A chiller holds the setpoint and costs energy; without one the water stands higher.
	in.ChillerCOP = 2.5
	for i := range in.Months {
		in.Months[i].Air.Temp += 4
	}
	with, err := Run(in)
	require.NoError(t, err)
	in.ChillerCOP = 0
	without, err := Run(in)
	require.NoError(t, err)
	assert.Positive(t, with.ChillerKWh)
	assert.Zero(t, without.ChillerKWh)
	assert.InDelta(t, 25, with.Months[6].WaterC, 1e-12)
	assert.Greater(t, without.Months[6].WaterC, 25.0)
	assert.Greater(t, without.Months[6].EvaporationLD.Expected, with.Months[6].EvaporationLD.Expected)
	assert.InEpsilon(t, with.Months[6].CoolingW/2.5*31*24/1000, with.Months[6].ChillerKWh, 1e-12)
}

func TestAYearTooWetToEvaporateStillNamesItsWeeks(t *testing.T) {
	in := input(t)
	in.SetpointC, in.ChillerCOP = 5, 3
	for i := range in.Months {
		in.Months[i] = room(25, 0.95)
	}
	r, err := Run(in)
	require.NoError(t, err)
	assert.Equal(t, 1, r.Evaporation.Month)
	assert.Zero(t, r.Evaporation.Value)
	assert.Zero(t, r.ReservoirDays)
}

func TestTheSouthIsHalfAYearLater(t *testing.T) {
	for i := range 12 {
		north, err := Typical(i, false)
		require.NoError(t, err)
		south, err := Typical((i+6)%12, true)
		require.NoError(t, err)
		assert.Equal(t, north, south)
	}
	_, err := Typical(12, false)
	assert.Error(t, err)
}

func TestYearRefuses(t *testing.T) {
	in := input(t)
	in.HighestHoldC = 20
	_, err := Run(in)
	var conflict *calc.ConflictError
	assert.ErrorAs(t, err, &conflict)
	in = input(t)
	in.ChillerCOP = 0.1
	_, err = Run(in)
	var out *calc.RangeError
	assert.ErrorAs(t, err, &out)
	in = input(t)
	in.System.Gains[0].PowerW = 3000
	_, err = Run(in)
	require.ErrorAs(t, err, &conflict, "the pumps would boil it")
	assert.Contains(t, conflict.Reason.String(), "month 1")
}
