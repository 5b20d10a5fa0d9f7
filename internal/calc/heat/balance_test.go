package heat

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
	"saltwright/internal/calc/evaporation"
	"saltwright/internal/calc/moistair"
	"saltwright/internal/calc/quantity"
)

func room(airC, rh float64) Surroundings {
	return Surroundings{
		Air: moistair.State{
			Temp: quantity.Celsius(airC), RelativeHumidity: rh, Pressure: quantity.StandardAtmosphere,
		},
		AirSpeedMS: 0.1,
	}
}

func display() Vessel {
	return Vessel{
		LengthMM: 1200, WidthMM: 500, WaterDepthMM: 500, FreeboardMM: 50, WallMM: 12, Material: Glass,
		BottomResistanceM2KPW: 0.3, Lid: evaporation.LidOpen,
	}
}

func system() System {
	sump := Vessel{
		LengthMM: 800, WidthMM: 400, WaterDepthMM: 250, FreeboardMM: 150, WallMM: 6, Material: Acrylic,
		BottomResistanceM2KPW: 0.2, Lid: evaporation.LidScreen,
	}
	return System{
		Display: display(), Sump: &sump, VolumeL: 340, Salinity: 35,
		Gains: []Gain{
			{Name: "pumps", PowerW: 40, WaterShare: SubmergedPumpShare, HoursPerDay: 24},
			{Name: "lights", PowerW: 150, WaterShare: LightShare, HoursPerDay: 10},
		},
	}
}

// Any allowed vessel and room: strictly increasing in the water temperature,
// zero at the room's, small steps across it.
func TestDryLossIncreasesThroughEquality(t *testing.T) {
	r := rand.New(rand.NewPCG(20, 2)) // fixed seed
	pick := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	for range 60 {
		v := Vessel{
			LengthMM: pick(50, 20000), WidthMM: pick(50, 20000), WaterDepthMM: pick(20, 5000), WallMM: pick(1, 200),
			Material: []Material{Glass, Acrylic}[r.IntN(2)], BottomResistanceM2KPW: pick(0, 10),
			Lid: []evaporation.Lid{evaporation.LidOpen, evaporation.LidScreen, evaporation.LidClosed}[r.IntN(3)],
		}
		v.FreeboardMM = pick(0, 5000-v.WaterDepthMM)
		airC := pick(1, 39)
		around := Surroundings{
			Air: moistair.State{
				Temp: quantity.Celsius(airC), RelativeHumidity: r.Float64(),
				Pressure: quantity.Pascal(pick(6e4, 1.05e5)),
			},
			AirSpeedMS: pick(0, 3),
		}
		last := math.Inf(-1)
		for _, c := range []float64{0, airC / 2, airC - 1e-4, airC, airC + 1e-4, (airC + 40) / 2, 40} {
			loss, err := DryLoss(v, quantity.Celsius(c), around)
			require.NoError(t, err)
			require.Greater(t, loss.TotalW, last, "%+v in %g °C at %g", v, airC, c)
			if c == airC {
				require.Zero(t, loss.TotalW)
			}
			if math.Abs(c-airC) < 1e-3 {
				require.InDelta(t, 0, loss.TotalW, 5, "1e-4 K over at most 800 m2 and about 60 W/(m2 K)")
			}
			last = loss.TotalW
			sum := 0.0
			for _, s := range loss.Surfaces {
				sum += s.W
				require.GreaterOrEqual(t, s.W*(c-airC), 0.0, "heat runs from warm to cold through every surface")
				require.GreaterOrEqual(t, s.FaceC, math.Min(c, airC)-1e-9)
				require.LessOrEqual(t, s.FaceC, math.Max(c, airC)+1e-9)
			}
			require.InDelta(t, sum, loss.TotalW, 1e-9*(1+math.Abs(sum)), "the surfaces make the total")
		}
	}
}

// At the outer face what arrives through the wall equals what the room takes up.
func TestFaceTemperatureClosesTheBalance(t *testing.T) {
	w := wall{thicknessM: 0.012, conductivity: 1, outside: face{sideways, 0.5, 0.837}}
	for _, c := range []float64{2, 15, 21.999, 22.001, 25, 39} {
		faceC, flux, err := w.solve(c, room(22, 0.5))
		require.NoError(t, err)
		assert.InDelta(t, SeriesFlux(c, faceC, 1.0/waterFilm, 0.012), flux, 1e-7, "1e-11 K over 0.014 m2 K/W")
	}
}

func TestDryLossFollowsWhatMakesItLarger(t *testing.T) {
	loss := func(change func(*Vessel)) float64 {
		v := display()
		change(&v)
		r, err := DryLoss(v, 25, room(20, 0.5))
		require.NoError(t, err)
		return r.TotalW
	}
	plain := loss(func(*Vessel) {})
	assert.Less(t, loss(func(v *Vessel) { v.Material = Acrylic }), plain)
	assert.Less(t, loss(func(v *Vessel) { v.WallMM = 19 }), plain)
	assert.Less(
		t, loss(func(v *Vessel) { v.Lid = evaporation.LidClosed }),
		loss(func(v *Vessel) { v.Lid = evaporation.LidScreen }),
	)
	assert.Less(t, loss(func(v *Vessel) { v.BottomResistanceM2KPW = 2 }), plain)
	assert.Greater(t, loss(func(v *Vessel) { v.FreeboardMM = 200 }), plain)
	assert.Greater(t, loss(func(v *Vessel) { v.LengthMM = 1300 }), plain)
	// Limits: with a bottom that lets nothing through and walls of any conductance, UA is at most area times the
	// outside film.
	// Common magnitudes of natural convection 2 … 25 W/(m2 K), Incropera table 1.1, and radiation about 6 at ε = 1 and
	// 300 K (4 σ T³ = 6.1).
	r, err := DryLoss(display(), 25, room(20, 0.5))
	require.NoError(t, err)
	for _, s := range r.Surfaces {
		if s.Surface == LongWalls {
			film := s.W / s.AreaM2 / (s.FaceC - 20)
			assert.Greater(t, film, 2+0.8*5.0)
			assert.Less(t, film, 25+6.2)
		}
	}
}

func TestBalanceClosesAndSplits(t *testing.T) {
	b, err := Balance(BalanceInput{System: system(), Water: 25.5, Room: room(20, 0.45), Gains: GainsAverage})
	require.NoError(t, err)
	dry, latent := 0.0, 0.0
	for _, v := range b.Vessels {
		dry += v.Dry.TotalW
		latent += v.Evaporation.Watts(v.Evaporation.Expected)
	}
	assert.InEpsilon(t, dry, b.DryW, 1e-12)
	assert.InEpsilon(t, latent, b.LatentW.Expected, 1e-12)
	assert.InEpsilon(t, 40+150*LightShare*10/24, b.GainsW, 1e-12)
	assert.InDelta(t, b.DryW+b.LatentW.Expected, b.NetW.Expected+b.GainsW, 1e-9, "losses = gains + net")
	assert.Less(t, b.NetW.Low, b.NetW.High)
	assert.Positive(t, b.DrySlopeWPerK)
	assert.Positive(t, b.LatentSlopeWPerK)
	assert.InEpsilon(t, b.HeatCapacityJPerK/b.UAWPerK/3600, b.TimeConstantH, 1e-12)
	assert.InEpsilon(t, b.NetW.Expected*0.024, b.EnergyKWhPerDay, 1e-12)

	// 340 L of seawater at 25.5 °C: 1023.2 kg/m3 (EOS-80) · 3994 J/(kg K) (Millero et al. 1973), about 1.39 MJ/K.
	assert.InEpsilon(t, 0.340*1023.2*3994, b.HeatCapacityJPerK, 0.003)

	// The slope is the chord of a small step made apart from it.
	next, err := Balance(BalanceInput{System: system(), Water: 25.6, Room: room(20, 0.45), Gains: GainsAverage})
	require.NoError(t, err)
	assert.InEpsilon(
		t, (next.NetW.Expected-b.NetW.Expected)/0.1, b.UAWPerK, 0.02, "slope changes by about 1 % in 0.1 K",
	)

	// At the ends of the range the slope takes the step it can.
	for _, c := range []quantity.Celsius{0, 40} {
		end, err := Balance(BalanceInput{System: system(), Water: c, Room: room(20, 0.45), Gains: GainsNone})
		require.NoError(t, err)
		assert.Positive(t, end.UAWPerK)
		assert.Zero(t, end.GainsW)
	}
}

func TestNetIncreasesWithTheWater(t *testing.T) {
	for _, rh := range []float64{0, 0.5, 1} {
		last := math.Inf(-1)
		for c := 0.0; c <= 40; c += 0.25 {
			b, err := Balance(BalanceInput{
				System: system(), Water: quantity.Celsius(c), Room: room(24, rh), Gains: GainsAll,
			})
			require.NoError(t, err)
			require.Greater(t, b.NetW.Expected, last)
			last = b.NetW.Expected
		}
	}
}

func TestCalibrationReachesTheBalance(t *testing.T) {
	s := system()
	c, err := evaporation.Calibrate(evaporation.Measurement{LitresPerDay: 3, Surfaces: []evaporation.Surface{
		{AreaM2: s.Display.AreaM2(), Salinity: 35, Water: 25, Air: room(22, 0.5).Air, AirSpeedMS: 0.1, LidFactor: 1},
		{AreaM2: s.Sump.AreaM2(), Salinity: 35, Water: 25, Air: room(22, 0.5).Air, AirSpeedMS: 0.1, LidFactor: 0.85},
	}})
	require.NoError(t, err)
	s.Calibration = &c
	b, err := Balance(BalanceInput{System: s, Water: 25, Room: room(22, 0.5), Gains: GainsNone})
	require.NoError(t, err)
	assert.InEpsilon(t, 3, b.EvaporatedLPerDay.Expected, 1e-9)
	s.Calibration = &evaporation.Calibration{ASHRAEFactor: -1}
	_, err = Balance(BalanceInput{System: s, Water: 25, Room: room(22, 0.5), Gains: GainsNone})
	var out *calc.RangeError
	assert.ErrorAs(t, err, &out)
}

func TestEquilibriumUndoesTheBalance(t *testing.T) {
	c, err := Equilibrium(EquilibriumInput{
		System: system(), Room: room(20, 0.5), Gains: GainsAverage, HeaterW: 100, Evaporate: EvaporationExpected,
	})
	require.NoError(t, err)
	b, err := Balance(BalanceInput{System: system(), Water: c, Room: room(20, 0.5), Gains: GainsAverage})
	require.NoError(t, err)
	assert.InDelta(t, 100, b.NetW.Expected, 1e-6, "1e-9 K times the UA")
	high, err := Equilibrium(EquilibriumInput{
		System: system(), Room: room(20, 0.5), Gains: GainsAverage, HeaterW: 100, Evaporate: EvaporationHigh,
	})
	require.NoError(t, err)
	low, err := Equilibrium(EquilibriumInput{
		System: system(), Room: room(20, 0.5), FanSpeed: 0.1, Gains: GainsAverage, HeaterW: 100,
		Evaporate: EvaporationLow,
	})
	require.NoError(t, err)
	assert.Less(t, high, c)
	assert.Greater(t, low, c)
	_, err = Equilibrium(EquilibriumInput{
		System: system(), Room: room(20, 0.5), Gains: GainsNone, HeaterW: 1e5, Evaporate: EvaporationLow,
	})
	assert.ErrorIs(t, err, calc.ErrNoSolution)
}

func TestFanCoolsAndCostsWater(t *testing.T) {
	in := FanInput{System: system(), Water: 27, Room: room(28, 0.5), Gains: GainsAll, FanSpeedMS: 1}
	r, err := Fan(in)
	require.NoError(t, err)
	require.True(t, r.WithoutOK && r.WithOK)
	assert.Less(t, r.WithC, r.WithoutC)
	assert.Greater(t, r.WithC, r.WetBulbC, "nothing evaporates itself below the wet bulb")
	// A litre a day takes about 2.43 MJ / 86400 s = 28 W (latent heat 2.43 MJ/kg at 27 °C); the air's own warmth works
	// against it here.
	assert.Less(t, r.CoolingW, 28.3*r.ExtraLitresPerDay)
	assert.Positive(t, r.CoolingW)
	in.FanSpeedMS = 0.1
	_, err = Fan(in)
	var conflict *calc.ConflictError
	assert.ErrorAs(t, err, &conflict)
}

func TestImpossibleInputIsNamed(t *testing.T) {
	type change struct {
		do    func(*BalanceInput)
		param string
	}
	var conflict *calc.ConflictError
	var out *calc.RangeError
	base := func() BalanceInput {
		return BalanceInput{System: system(), Water: 25, Room: room(20, 0.5), Gains: GainsAll}
	}
	for name, c := range map[string]change{
		"length":   {func(in *BalanceInput) { in.System.Display.LengthMM = 0 }, "length_mm"},
		"sump":     {func(in *BalanceInput) { in.System.Sump.WallMM = math.NaN() }, "sump_wall_mm"},
		"gain":     {func(in *BalanceInput) { in.System.Gains[0].WaterShare = 1.1 }, "pumps_heat_share"},
		"hours":    {func(in *BalanceInput) { in.System.Gains[0].HoursPerDay = 24.1 }, "pumps_hours_per_day"},
		"water":    {func(in *BalanceInput) { in.Water = 40.001 }, "water_c"},
		"air":      {func(in *BalanceInput) { in.Room.Air.Temp = -10.001 }, "room_c"},
		"pressure": {func(in *BalanceInput) { in.Room.Air.Pressure = 0 }, "pressure_pa"},
		"speed":    {func(in *BalanceInput) { in.Room.AirSpeedMS = -1 }, "air_speed_m_s"},
	} {
		in := base()
		c.do(&in)
		_, err := Balance(in)
		if assert.ErrorAs(t, err, &out, name) {
			assert.Equal(t, c.param, out.Param)
		}
		_, err = Equilibrium(EquilibriumInput{
			System: in.System, Room: in.Room, Gains: in.Gains, Evaporate: EvaporationLow,
		})
		if name != "water" {
			assert.ErrorAs(t, err, &out, name)
		}
		_, err = Fan(FanInput{System: in.System, Water: in.Water, Room: in.Room, Gains: in.Gains, FanSpeedMS: 1})
		assert.ErrorAs(t, err, &out, name)
	}
	for name, c := range map[string]change{
		"volume":   {func(in *BalanceInput) { in.System.VolumeL = math.Inf(1) }, "water_depth_mm"},
		"material": {func(in *BalanceInput) { in.System.Display.Material = "wood" }, "material"},
		"lid":      {func(in *BalanceInput) { in.System.Display.Lid = "" }, "lid"},
		"gains":    {func(in *BalanceInput) { in.Gains = "some" }, "gains"},
	} {
		in := base()
		c.do(&in)
		_, err := Balance(in)
		if assert.ErrorAs(t, err, &conflict, name) {
			assert.Contains(t, conflict.Params, c.param)
		}
		_, err = Fan(FanInput{System: in.System, Water: in.Water, Room: in.Room, Gains: in.Gains, FanSpeedMS: 1})
		assert.ErrorAs(t, err, &conflict, name)
	}
	_, err := Equilibrium(EquilibriumInput{
		System: system(), Room: room(20, 0.5), Gains: "x", Evaporate: EvaporationLow,
	})
	assert.ErrorAs(t, err, &conflict)
	_, err = Equilibrium(EquilibriumInput{System: system(), Room: room(20, 0.5), Gains: GainsAll, Evaporate: "x"})
	assert.ErrorAs(t, err, &conflict)
	_, err = Equilibrium(EquilibriumInput{System: system(), Room: room(20, 0.5), Gains: GainsAll, HeaterW: math.NaN()})
	assert.ErrorAs(t, err, &out)
}
