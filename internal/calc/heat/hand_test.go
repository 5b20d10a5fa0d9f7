package heat

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
	"saltwright/internal/calc/moistair"
	"saltwright/internal/calc/quantity"
)

// By hand with Incropera's table A.4 between 300 and 350 K (from memory): a face at 45 °C in air at 25 °C has a
// film at 308.15 K, where k = 0.0269, nu = 16.69e-6 and alpha = 23.66e-6. Half a metre upright: Ra = 2.016e8, Nu = 75.3
// by Churchill and Chu, h = 4.05. A tenth lying: Ra = 1.61e6, Nu = 0.54 Ra^(1/4) = 19.2 with the warm side up and half
// of it with the warm side down. At 3 m/s along half a metre Re = 89900 and Nu = 0.664 Re^(1/2) Pr^(1/3) = 177, which
// with 75.3 makes 182.
func TestFilmsByHand(t *testing.T) {
	air := func(speed float64) Surroundings {
		return Surroundings{
			Air:        moistair.State{Temp: 25, RelativeHumidity: 0.5, Pressure: quantity.StandardAtmosphere},
			AirSpeedMS: speed,
		}
	}
	for _, c := range []struct {
		name        string
		face        face
		speed, want float64
	}{
		{"upright", face{sideways, 0.5, 0}, 0, 20 * 4.05}, {"in the wind", face{sideways, 0.5, 0}, 3, 20 * 9.78},
		{"warm side up", face{upwards, 0.1, 0}, 0, 20 * 5.18},
		{"warm side down", face{downwards, 0.1, 0}, 0, 20 * 2.59},
	} {
		assert.InEpsilon(t, c.want, c.face.flux(45, air(c.speed)), 0.01, c.name)
	}
	// A cold ceiling is as lively as a warm floor.
	up, down := face{upwards, 0.1, 0}.flux(5, air(0)), face{downwards, 0.1, 0}.flux(5, air(0))
	assert.InEpsilon(t, 2, down/up, 0.01)
}

// Incropera, table 3.4, case B: a short fin gives off what its whole face at the base's temperature would, a long one
// what sqrt(h k t) says, however long.
func TestRimIsAFin(t *testing.T) {
	still := Surroundings{Air: moistair.State{Temp: 20, RelativeHumidity: 0.5, Pressure: quantity.StandardAtmosphere}}
	w := wall{thicknessM: 0.012, conductivity: 1.5, outside: face{sideways, 0.5, 0.9}}
	film := w.outside.flux(26, still) / 6
	assert.InEpsilon(t, 3*0.001*film*6, rimWatts(w, 3, 0.001, 26, 1, still), 1e-3)
	long := rimWatts(w, 3, 5, 26, 1, still)
	assert.InEpsilon(t, 0.012*1.5, long*long/(film*3*3*6*6), 1e-6, "conductivity times thickness")
	assert.InEpsilon(t, long, rimWatts(w, 3, 50, 26, 1, still), 1e-6)
}

func TestAreasByHand(t *testing.T) {
	v := display()
	v.LengthMM, v.WidthMM, v.WaterDepthMM, v.FreeboardMM = 1200, 400, 500, 50
	r, err := DryLoss(v, 25, room(20, 0.5))
	require.NoError(t, err)
	want := map[SurfaceName]float64{LongWalls: 1.2, ShortWalls: 0.4, Rim: 0.16, Bottom: 0.48, FreeSurface: 0.48}
	assert.InDelta(t, 240, v.VolumeL(), 1e-12)
	for _, s := range r.Surfaces {
		assert.InDelta(t, want[s.Surface], s.AreaM2, 1e-12, s.Surface)
	}
}

func TestChillersDay(t *testing.T) {
	in := chillerInput()
	r, err := SizeChiller(in)
	require.NoError(t, err)
	b, err := Balance(BalanceInput{System: in.System, Water: 25.5, Room: in.Warmest, Gains: GainsAverage})
	require.NoError(t, err)
	require.Negative(t, b.NetW.Expected)
	assert.InEpsilon(t, 1.25*r.NeededW, r.RecommendedW, 1e-12)
	assert.InEpsilon(t, -b.NetW.Expected, r.MeanW, 1e-9)
	assert.InEpsilon(t, r.MeanW/r.RecommendedW, r.RunShare, 1e-12)
	assert.InEpsilon(t, r.MeanW/2.5*24/1000, r.EnergyKWhPerDay, 1e-12)
}

// 5 W for a day are 0.12 kWh; the vapour the fan adds is what moistens the room; a fan hardly faster than the
// room's own air adds next to none.
func TestFansDay(t *testing.T) {
	in := fan(28, 0.4)
	r, err := CoolingFan(in)
	require.NoError(t, err)
	assert.InDelta(t, 0.12, r.EnergyKWhD, 1e-12)
	assert.InDelta(t, r.RHAfter-0.4, in.humidityRise(r.AddedKgH), 1e-4)
	still := in.Fan
	still.FanSpeedMS = still.Room.AirSpeedMS + 1e-3
	f, err := Fan(still)
	require.NoError(t, err)
	assert.InDelta(t, 0, f.ExtraLitresPerDay, 0.05)
}

func TestSystemOnItsLimits(t *testing.T) {
	s := system()
	s.Gains = []Gain{
		{Name: "pump", PowerW: 30, WaterShare: 0.5, HoursPerDay: 24},
		{Name: "lamp", PowerW: 90, WaterShare: 1, HoursPerDay: 12},
	}
	for on, want := range map[GainsOn]float64{GainsAll: 105, GainsAverage: 60, GainsContinuous: 15, GainsNone: 0} {
		got, err := s.gainsW(on)
		require.NoError(t, err)
		assert.InDelta(t, want, got, 1e-12)
	}
	for litres, refused := range map[float64]bool{0.99: true, 1: false, 1e6: false, 1e6 + 1: true} {
		s.VolumeL = litres
		var conflict *calc.ConflictError
		assert.Equal(t, refused, errors.As(s.check(), &conflict), "%v L", litres)
		a, err := LeftAlone(LeftAloneInput{
			System: s, Room: room(20, 0.5), Gains: GainsNone, Evaporate: EvaporationExpected, FromC: 25, TowardsC: 22,
		})
		assert.Equal(t, refused, err != nil, "%v L", litres)
		assert.Equal(t, !refused, a.TauH > 0, "%v L", litres)
	}
	var out *calc.RangeError
	err := (&Correction{DryFactor: 1, EvaporationFactor: 11}).check()
	require.ErrorAs(t, err, &out)
	assert.Contains(t, out.Param, "evaporation")
}

func TestWindowsOnTheirLimits(t *testing.T) {
	for _, c := range []struct{ low, high, want float64 }{
		{30, 100, 50}, {50, 50, 50}, {51, 74, 0}, {51, 75, 75}, {0, 100, 0}, {1, 100, 25},
	} {
		sold := SizingInput{StockSizesW: []float64{25, 50, 75, 100}}
		assert.InDelta(t, c.want, sold.stockSize(c.low, c.high), 0, "%v to %v", c.low, c.high)
	}
	// With one of two dead the other must hold 150 W; of three two hold it by 75 W each.
	for n, want := range map[int]float64{2: 150, 3: 75} {
		p, ok := powerBounds{holdLowW: 150}.pMin(n, 100)
		assert.True(t, ok)
		assert.InDelta(t, want, p, 1e-12, "%d heaters", n)
	}
	p, ok := powerBounds{}.pMin(1, 100)
	assert.True(t, ok, "the room holds the low limit alone")
	assert.InDelta(t, 100, p, 1e-12)

	in := sizing()
	for most, exists := range map[float64]bool{49: false, 50: true} {
		b := powerBounds{holdLowW: 50, equilibriumMaxW: most, reactionMaxW: most}
		w := in.window(2, 100, b, b)
		for _, got := range []bool{w.Exists, w.ExistsByReaction, w.ExpectedExists} {
			assert.Equal(t, exists, got, "%v W at most", most)
		}
	}
	w := in.window(2, 0, powerBounds{}, powerBounds{})
	assert.False(t, w.Exists || w.ExistsByReaction || w.ExpectedExists, "no heater at all")
}

// Off at 25.75 °C; a thermostat good to 0.5 K fits from 26.25 to half a kelvin under the limit.
func TestBackstopOnItsLimits(t *testing.T) {
	in := BackstopInput{SetpointC: 25.5, HysteresisK: 0.5, ThermostatToleranceK: 0.5, HarmHighC: 27}
	for at, want := range map[float64]BackstopVerdict{
		26.24: BackstopInterferes, 26.25: BackstopFits, 26.5: BackstopFits, 26.51: BackstopTooFar,
	} {
		in.ThermostatC = at
		r, err := Backstop(in)
		require.NoError(t, err)
		assert.Equal(t, want, r.Verdict, "%v °C", at)
		assert.InDelta(t, at+0.5, r.WorstOpeningC, 1e-12)
	}
	in.HarmHighC = 26.75
	r, err := Backstop(in)
	require.NoError(t, err)
	assert.True(t, r.BandExists, "one temperature is a band")
	in.HarmHighC = 25.75
	_, err = Backstop(in)
	var conflict *calc.ConflictError
	assert.ErrorAs(t, err, &conflict)
}
