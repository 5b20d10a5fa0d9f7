package power

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
	"saltwright/internal/calc/evaporation"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/moistair"
	"saltwright/internal/calc/quantity"
)

func wiring() BudgetInput {
	return BudgetInput{
		Circuits: []Circuit{{"left", 20, 120, 0.8, "rcd", 0}, {"right", 15, 120, 0.8, "rcd", 0}},
		Loads: []Load{
			{"heater a", "left", Heating, 300, 1, 1, 12}, {"heater b", "right", Heating, 300, 1, 1, 12},
			{"return", "left", Circulation, 60, 0.6, 2, 24}, {"lamp", "left", Lighting, 200, 0.9, 1, 10},
			{"gauge", "right", Alarm, 5, 1, 1, 24},
		},
		PricePerKWh: 0.3,
	}
}

// NFPA 70 (National Electrical Code), article 210.20(A): the rating is at least the other load plus 125 % of the
// continuous. As the trade quotes it: 16 A of continuous load need a 20 A circuit; at 120 V a 15 A circuit may
// carry 1440 W and a 20 A circuit 1920 W of it.
func TestContinuousLoadRule(t *testing.T) {
	for _, c := range []struct{ rating, watts float64 }{{15, 1440}, {20, 1920}} {
		in := BudgetInput{
			Circuits: []Circuit{{"c", c.rating, 120, ContinuousShare, "g", 0}},
			Loads:    []Load{{"l", "c", Heating, c.watts, 1, 1, 24}},
		}
		r, err := Budget(in)
		require.NoError(t, err)
		assert.InDelta(t, c.rating, r.Circuits[0].NeededA, 1e-9)
		assert.False(t, r.Circuits[0].Overloaded)
		in.Loads[0].PowerW++
		r, err = Budget(in)
		require.NoError(t, err)
		assert.True(t, r.Circuits[0].Overloaded)
		in.Loads[0].HoursPerDay = 2 // less than three hours is not continuous
		r, err = Budget(in)
		require.NoError(t, err)
		assert.False(t, r.Circuits[0].Overloaded)
	}
}

func TestWhatTripsTogether(t *testing.T) {
	r, err := Budget(wiring())
	require.NoError(t, err)
	require.Len(t, r.Trips, 3)
	assert.Equal(t, []string{"heater a", "return", "lamp"}, r.Trips[0].Loads)
	assert.Equal(t, []Role{Circulation, Lighting}, r.Trips[0].AllOf)
	assert.Equal(t, []Role{Alarm}, r.Trips[1].AllOf)
	assert.True(t, r.Trips[1].NoAlarm)
	assert.Equal(t, "ground_fault", r.Trips[2].Cause)
	assert.Len(t, r.Trips[2].Loads, 5)
	var codes []string
	for _, f := range r.Findings {
		codes = append(codes, f.Code)
	}
	assert.Contains(t, codes, "all_heating_on_one", "behind one ground-fault device")
	assert.Contains(t, codes, "all_circulation_on_one")
	assert.NotContains(t, codes, "overloaded")
	assert.InDelta(t, (600*12+60*24+200*10+5*24)/1000.0, r.KWhPerDay, 1e-9)
	assert.InDelta(t, 60/(120*0.6)+300.0/120+200/(120*0.9), r.Circuits[0].ContinuousA, 1e-9)
}

func TestBudgetRefuses(t *testing.T) {
	var conflict *calc.ConflictError
	for name, change := range map[string]func(*BudgetInput){
		"no circuit": func(in *BudgetInput) { in.Loads[0].Circuit = "cellar" },
		"twice":      func(in *BudgetInput) { in.Circuits[1].ID = "left" },
		"load twice": func(in *BudgetInput) { in.Loads[1].ID = "heater a" },
		"role":       func(in *BudgetInput) { in.Loads[1].Role = "toaster" },
	} {
		in := wiring()
		change(&in)
		_, err := Budget(in)
		assert.ErrorAs(t, err, &conflict, name)
	}
}

func at(airC, rh float64) heat.Surroundings {
	return heat.Surroundings{
		Air: moistair.State{
			Temp: quantity.Celsius(airC), RelativeHumidity: rh, Pressure: quantity.StandardAtmosphere,
		},
		AirSpeedMS: 0.1,
	}
}

func outage() OutageInput {
	sump := heat.Vessel{
		LengthMM: 700, WidthMM: 400, WaterDepthMM: 250, FreeboardMM: 150, WallMM: 6, Material: heat.Glass,
		BottomResistanceM2KPW: 0.2, Lid: evaporation.LidOpen,
	}
	return OutageInput{
		System: heat.System{
			Display: heat.Vessel{
				LengthMM: 1200, WidthMM: 500, WaterDepthMM: 500, FreeboardMM: 50, WallMM: 12, Material: heat.Glass,
				BottomResistanceM2KPW: 0.3, Lid: evaporation.LidOpen,
			},
			Sump: &sump, VolumeL: 340, Salinity: 35,
		},
		DisplayL: 270, SumpL: 70, WaterC: 25.5, Rooms: []Room{
			{"usual", at(21, 0.5)}, {"coldest", at(12, 0.5)}, {"warmest", at(33, 0.6)},
		},
		ComfortLowC: 24, ComfortHighC: 27, HarmLowC: 20, HarmHighC: 30,
		Oxygen:    Oxygen{DemandMgLH: 0.15, StirredCMH: 15, StillCMH: 2.07, ComfortMgL: 5, HarmMgL: 3.5},
		DurationH: 24,
	}
}

// Oxygen at the start, by the standard's tables: Garcia and Gordon 1992 (Benson and Krause coefficients) at 25.5 °C
// and S = 35 is 6.69 mg/L; UNESCO Technical Papers in Marine Science 45 (1985) prints 206.3 µmol/kg at 25 °C,
// which is 6.75 mg/L (from memory).
func TestOxygenSaturationIsTheTables(t *testing.T) {
	in := outage()
	in.WaterC = 25
	r, err := Endure(in)
	require.NoError(t, err)
	assert.InEpsilon(t, 206.3e-3*1.02334*31.9988, r.SaturationMgL, 0.003)
}

// Mexico City lies at 2240 m: 5.06 mg/L where the sea has 6.7, and harm comes sooner by more than a third.
// Source: [BensonKrause1984].
func TestOxygenOfAHighTown(t *testing.T) {
	harm := func(altitudeM float64) (saturation, hours float64) {
		in := outage()
		pressure, err := moistair.StandardPressure(altitudeM)
		require.NoError(t, err)
		for i := range in.Rooms {
			in.Rooms[i].Air.Air.Pressure = pressure
		}
		r, err := Endure(in)
		require.NoError(t, err)
		require.NotNil(t, r.Oxygen[2].HarmH)
		return r.SaturationMgL, *r.Oxygen[2].HarmH
	}
	sea, seaH := harm(0)
	high, highH := harm(2240)
	assert.InDelta(t, 6.70, sea, 0.02)
	assert.InDelta(t, 5.06, high, 0.02)
	assert.Less(t, highH, 0.7*seaH)
}

// A closed bottle without exchange uses oxygen at a constant rate: hours = (start - limit)/demand.
func TestOxygenFallsStraightWithoutExchange(t *testing.T) {
	in := outage()
	in.Oxygen.StillCMH = 0.1 // the least allowed; over 45 cm of water its time constant is 450 h
	r, err := Endure(in)
	require.NoError(t, err)
	e := r.Oxygen[1]
	require.NotNil(t, e.HarmH)
	assert.InEpsilon(t, (e.StartMgL-3.5)/0.15, *e.HarmH, 0.04) // the least exchange still brings 3 % of the demand
	assert.Less(t, *r.Oxygen[2].HarmH, *e.HarmH)
	assert.Greater(t, *r.Oxygen[0].HarmH, *e.HarmH)
}

// The oxygen's curve against an independent integration in steps of 3.6 s (Heun), battery's end included.
func TestOxygenAgainstSteps(t *testing.T) {
	in := outage()
	in.Battery = &Battery{CapacityWh: 100, UsableShare: 0.8, Efficiency: 0.9, LoadW: 9, OnPercent: 50}
	r, err := Endure(in)
	require.NoError(t, err)
	assert.InDelta(t, 16, r.BatteryH, 1e-12)
	depth := in.DisplayL / 1000 / 0.6 * 100
	o := r.SaturationMgL - 0.15/(15/depth)
	const step = 0.001
	for i := range 24000 {
		k := 2.07 / depth
		if float64(i)*step < r.BatteryH {
			k = (15 + 2.07) / 2 / depth
		}
		f := func(o float64) float64 { return k*(r.SaturationMgL-o) - 0.15 }
		o += step * (f(o) + f(o+step*f(o))) / 2
	}
	assert.InDelta(t, o, r.Oxygen[1].EndMgL, 1e-6)
}

func TestTemperaturesPartWays(t *testing.T) {
	r, err := Endure(outage())
	require.NoError(t, err)
	require.Len(t, r.Paths, 6)
	display, sump := r.Paths[2], r.Paths[3] // coldest
	assert.Less(t, sump.TauH, display.TauH, "the smaller vessel cools faster")
	require.NotNil(t, display.LowHarmH)
	require.NotNil(t, display.LowComfortH)
	assert.Less(t, *display.LowComfortH, *display.LowHarmH)
	require.NotNil(t, display.CoveredLowH)
	assert.Greater(t, *display.CoveredLowH, 1.2**display.LowHarmH, "a cover buys time")
	warm := r.Paths[4]
	assert.Greater(t, warm.EquilibriumC, 25.5)
	assert.Nil(t, warm.LowHarmH)
	// Moments are on the same curves.
	for _, m := range r.Moments {
		want, err := heat.Approach{FromC: 25.5, EquilibriumC: r.Paths[0].EquilibriumC, TauH: r.Paths[0].TauH}.At(m.Hour)
		require.NoError(t, err)
		assert.InDelta(t, want, m.DisplayC, 1e-12)
	}
	assert.InDelta(t, 24, r.Moments[len(r.Moments)-1].Hour, 0)
	// Actions come in the order of time, and the outage ends with the restart.
	for i := 1; i < len(r.Actions); i++ {
		assert.GreaterOrEqual(t, r.Actions[i].Hour, r.Actions[i-1].Hour)
	}
	assert.Equal(t, "restart", r.Actions[len(r.Actions)-1].Code)
	assert.Equal(t, "make_safe", r.Actions[0].Code)
}

func TestFirstHarmIsTheEarliest(t *testing.T) {
	in := outage()
	in.Oxygen.DemandMgLH = 0.6
	r, err := Endure(in)
	require.NoError(t, err)
	assert.Equal(t, "oxygen", r.FirstHarm)
	assert.InDelta(t, *r.Oxygen[2].HarmH, r.FirstHarmH, 1e-12)
	in = outage()
	in.Oxygen.DemandMgLH = 0.01
	in.Rooms = in.Rooms[:2]
	r, err = Endure(in)
	require.NoError(t, err)
	assert.Equal(t, "cold", r.FirstHarm)
}

func TestEndureRefuses(t *testing.T) {
	var conflict *calc.ConflictError
	for name, change := range map[string]func(*OutageInput){
		"limits": func(in *OutageInput) { in.ComfortLowC = 19 },
		"beyond": func(in *OutageInput) { in.WaterC = 19 },
		"oxygen": func(in *OutageInput) { in.Oxygen.HarmMgL = 6 },
		"still":  func(in *OutageInput) { in.Oxygen.StillCMH = 90 },
	} {
		in := outage()
		change(&in)
		_, err := Endure(in)
		assert.ErrorAs(t, err, &conflict, name)
	}
	in := outage()
	in.DurationH = math.NaN()
	_, err := Endure(in)
	var out *calc.RangeError
	assert.ErrorAs(t, err, &out)
}
