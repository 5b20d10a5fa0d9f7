package calibration

import (
	"math"
	"math/rand/v2"
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

func system() heat.System {
	return heat.System{
		Display: heat.Vessel{
			LengthMM: 1000, WidthMM: 500, WaterDepthMM: 500, FreeboardMM: 50, WallMM: 12, Material: heat.Glass,
			BottomResistanceM2KPW: 0.3, Lid: evaporation.LidOpen,
		},
		VolumeL: 240, Salinity: 35, Gains: []heat.Gain{{Name: "pump", PowerW: 20, WaterShare: 1, HoursPerDay: 24}},
	}
}

func corrected(dry, vapour float64) heat.System {
	s := system()
	s.Correction = &heat.Correction{DryFactor: dry, EvaporationFactor: vapour}
	return s
}

// coolDown integrates the whole balance, losses not straightened, in steps of a minute (Heun): a second road to the
// curve.
func coolDown(
	t *testing.T, s heat.System, around heat.Surroundings, fromC float64, every float64, n int, noise func() float64,
) []Point {
	t.Helper()
	rate := func(c float64) float64 {
		b, err := heat.Balance(heat.BalanceInput{
			System: s, Water: quantity.Celsius(c), Room: around, Gains: heat.GainsAverage,
		})
		require.NoError(t, err)
		return -b.NetW.Expected / b.HeatCapacityJPerK * quantity.SecondsPerHour
	}
	const step = 0.25
	var out []Point
	c := fromC
	for i := range n {
		out = append(out, Point{Hour: float64(i) * every, WaterC: c + noise()})
		for range int(every / step) {
			k1 := rate(c)
			c += step * (k1 + rate(c+step*k1)) / 2
		}
	}
	return out
}

func TestCoolDownFindsTheFactorThatMadeIt(t *testing.T) {
	around := room(18, 0.5)
	quiet := func() float64 { return 0 }
	points := coolDown(t, corrected(1.3, 1.3), around, 26, 1, 13, quiet)
	r, err := Calibrate(Input{
		System: system(), CoolDown: &CoolDown{Room: around, Gains: heat.GainsAverage, Points: points}, SetpointC: 25,
		Rooms: []Room{{"colder", room(15, 0.4)}},
	})
	require.NoError(t, err)
	assert.InEpsilon(t, 1.3, r.Dry.Factor, 1e-3)
	assert.Equal(t, r.Dry, r.Evaporation, "nothing tells the two losses apart")
	assert.Equal(t, "cool_down", r.Dry.From)
	assert.Less(t, r.ResidualK, 0.001)
	require.Len(t, r.Residuals, 13)
	// The other room is what the corrected model says.
	b, err := heat.Balance(heat.BalanceInput{
		System: corrected(1.3, 1.3), Water: 25, Room: room(15, 0.4), Gains: heat.GainsAverage,
	})
	require.NoError(t, err)
	assert.InEpsilon(t, b.NetW.Expected, r.Predictions[0].HeatingW, 2e-3)
	assert.Less(t, r.Predictions[0].HeatingBeforeW, r.Predictions[0].HeatingW)
}

func TestConfidenceCoversTheTruthOftenEnough(t *testing.T) {
	around := room(18, 0.5)
	source := rand.New(rand.NewPCG(11, 12)) // fixed seed
	clean := coolDown(t, corrected(1.15, 1.15), around, 26, 0.5, 16, func() float64 { return 0 })
	inside, runs := 0, 300
	for range runs {
		points := make([]Point, len(clean))
		for i, p := range clean {
			points[i] = Point{p.Hour, p.WaterC + 0.1*source.NormFloat64()}
		}
		r, err := Calibrate(Input{
			System: system(), CoolDown: &CoolDown{Room: around, Gains: heat.GainsAverage, Points: points},
			SetpointC: 25,
		})
		require.NoError(t, err)
		if math.Abs(r.Dry.Factor-1.15) <= r.Dry.Half95 {
			inside++
		}
	}
	// 95 %, give or take three binomial standard deviations of 1.3 %.
	assert.InDelta(t, 0.95, float64(inside)/float64(runs), 0.038)
	t.Logf("%d of %d intervals hold the truth", inside, runs)
}

func TestEvaporationAndDutyTellTheLossesApart(t *testing.T) {
	around := room(20, 0.45)
	truth := corrected(1.2, 0.7)
	b, err := heat.Balance(heat.BalanceInput{System: truth, Water: 25.5, Room: around, Gains: heat.GainsAverage})
	require.NoError(t, err)
	r, err := Calibrate(Input{
		System: system(),
		Evaporation: &Evaporation{
			LitresPerDay: b.EvaporatedLPerDay.Expected, Room: around, WaterC: 25.5, UncertaintyPercent: 5,
		},
		Duty: &Duty{
			HeaterW: 300, Share: b.NetW.Expected / 300, Room: around, WaterC: 25.5, UncertaintyPercent: 5,
		},
		SetpointC: 25.5, Rooms: []Room{{"warm", room(27, 0.5)}, {"cold", room(15, 0.4)}},
	})
	require.NoError(t, err)
	assert.InEpsilon(t, 0.7, r.Evaporation.Factor, 1e-9)
	assert.InEpsilon(t, 1.2, r.Dry.Factor, 1e-9)
	assert.Positive(t, r.Dry.StandardError)
	for i, air := range []heat.Surroundings{room(27, 0.5), room(15, 0.4)} {
		want, err := heat.Balance(heat.BalanceInput{System: truth, Water: 25.5, Room: air, Gains: heat.GainsAverage})
		require.NoError(t, err)
		assert.InDelta(t, want.NetW.Expected, r.Predictions[i].HeatingW, 1e-9)
		assert.InEpsilon(t, want.EvaporatedLPerDay.Expected, r.Predictions[i].EvaporationLD, 1e-9)
	}
}

func TestTwoThermalMeasurementsAreJoined(t *testing.T) {
	around := room(18, 0.5)
	points := coolDown(t, corrected(1.3, 1.3), around, 26, 1, 10, func() float64 { return 0 })
	for i := range points {
		points[i].WaterC += 0.03 * math.Sin(7*float64(i)) // a thermometer's flicker
	}
	b, err := heat.Balance(heat.BalanceInput{
		System: corrected(1.1, 1.1), Water: 25.5, Room: around, Gains: heat.GainsAverage,
	})
	require.NoError(t, err)
	r, err := Calibrate(Input{
		System: system(), CoolDown: &CoolDown{Room: around, Gains: heat.GainsAverage, Points: points},
		Duty: &Duty{
			HeaterW: 300, Share: b.NetW.Expected / 300, Room: around, WaterC: 25.5, UncertaintyPercent: 10,
		}, SetpointC: 25.5,
	})
	require.NoError(t, err)
	assert.Greater(t, r.Dry.Factor, 1.1)
	assert.Less(t, r.Dry.Factor, 1.32)
	assert.NotZero(t, r.DutyAndCoolDownK)
	assert.Equal(t, "duty_and_cool_down", r.Dry.From)
}

func TestCalibrateRefuses(t *testing.T) {
	around := room(18, 0.5)
	for name, in := range map[string]Input{
		"nothing": {System: system(), SetpointC: 25},
		"unordered": {System: system(), SetpointC: 25, CoolDown: &CoolDown{
			Room: around, Gains: heat.GainsAverage, Points: []Point{{0, 26}, {2, 25}, {1, 24}, {3, 23}},
		}},
		"no fall": {System: system(), SetpointC: 25, CoolDown: &CoolDown{
			Room: around, Gains: heat.GainsAverage, Points: []Point{{0, 26}, {1, 26}, {2, 26}, {3, 25.95}},
		}},
		"far too fast": {System: system(), SetpointC: 25, CoolDown: &CoolDown{
			Room: around, Gains: heat.GainsAverage, Points: []Point{{0, 26}, {0.2, 24}, {0.4, 22}, {0.6, 20.5}},
		}},
		"a huge heater": {System: system(), SetpointC: 25, Duty: &Duty{
			HeaterW: 9000, Share: 1, Room: around, WaterC: 25,
		}},
		"warm room": {System: system(), SetpointC: 25, Duty: &Duty{
			HeaterW: 100, Share: 0.1, Room: room(36, 0.95), WaterC: 25,
		}},
		"air too wet": {System: system(), SetpointC: 25, Evaporation: &Evaporation{
			LitresPerDay: 2, Room: room(35, 0.95), WaterC: 25,
		}},
		"far too much": {System: system(), SetpointC: 25, Evaporation: &Evaporation{
			LitresPerDay: 500, Room: around, WaterC: 25,
		}},
		"a wild curve": {System: system(), SetpointC: 25, CoolDown: &CoolDown{
			Room: around, Gains: heat.GainsAverage,
			Points: []Point{{0, 25.6}, {1, 25.2}, {2, 24.9}, {5, 23.9}, {6, 40}, {7, 23.4}, {8037, 23.15}},
		}},
		"turning points": {System: system(), SetpointC: 25, CoolDown: &CoolDown{
			Room: around, Gains: heat.GainsAverage, Points: []Point{{0, 25}, {1, 24}, {2, 24}, {3, 25}},
		}},
	} {
		_, err := Calibrate(in)
		var conflict *calc.ConflictError
		assert.ErrorAs(t, err, &conflict, name)
	}
	_, err := Calibrate(Input{System: system(), SetpointC: 25, CoolDown: &CoolDown{Points: []Point{{0, 26}}}})
	var out *calc.RangeError
	assert.ErrorAs(t, err, &out)
}
