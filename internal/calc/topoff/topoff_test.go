package topoff

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
	"saltwright/internal/calc/moistair"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/reference"
)

func relative(got, want float64) float64 {
	if want == 0 {
		return math.Abs(got)
	}
	return math.Abs(got-want) / math.Abs(want)
}

// closed compares one optional column and returns the relative disagreement.
func closed(t *testing.T, row reference.Row, column string, got float64, happens bool) float64 {
	t.Helper()
	require.Equal(t, row.Has(column), happens, "case %s: %s", row["case"], column)
	if !happens {
		return 0
	}
	return relative(got, row.F(t, column))
}

func TestStuckPumpMeetsTheReferenceTable(t *testing.T) {
	var worst float64
	rows := reference.Load(t, "topoff_stuck_on.csv")
	for _, row := range rows {
		p := StuckPump{
			VolumeL: row.F(t, "volume_start_L"), OverflowL: row.F(t, "volume_overflow_L"), Salinity: row.F(t,
				"salinity_start"),
			PumpLPerH: row.F(t, "topoff_rate_L_per_h"), EvaporationLPerH: row.F(t, "evaporation_L_per_h"),
		}
		full, fills, err := p.TimeToOverflow()
		require.NoError(t, err)
		query, err := p.After(row.F(t, "t_query_h"))
		require.NoError(t, err)
		low, reaches, err := p.TimeToSalinity(row.F(t, "salinity_limit_low"))
		require.NoError(t, err)
		empty := row.F(t, "reservoir_L") / p.PumpLPerH
		end, err := p.After(empty)
		require.NoError(t, err)
		for _, d := range []float64{
			closed(t, row, "time_overflow_starts_h", full, fills),
			relative(query.VolumeL, row.F(t, "volume_at_query_L")),
			relative(query.Salinity, row.F(t, "salinity_at_query_closed")),
			// a difference of near equals: to the volume it is part of
			math.Abs(query.SpilledL-row.F(t, "spilled_at_query_L")) / p.OverflowL,
			closed(t, row, "time_to_salinity_limit_h_closed", low, reaches),
			relative(empty, row.F(t, "time_reservoir_empty_h")),
			relative(end.Salinity, row.F(t, "salinity_when_reservoir_empty_closed")),
			math.Abs(end.SpilledL-row.F(t, "spilled_when_reservoir_empty_L")) / p.OverflowL,
		} {
			worst = math.Max(worst, d)
		}
	}
	t.Logf("worst disagreement over %d rows: %.2g relative", len(rows), worst)
	assert.Less(t, worst, 1e-6, "exact arithmetic, README of the tables")
}

func TestDryDownMeetsTheReferenceTable(t *testing.T) {
	var worst float64
	rows := reference.Load(t, "evaporation_without_topoff.csv")
	for _, row := range rows {
		d := DryDown{
			VolumeL: row.F(t, "system_volume_L"), Salinity: row.F(t, "salinity_start"), EvaporationLPerDay: row.F(t,
				"evaporation_L_per_day"),
			ChamberAreaM2: row.F(t, "return_chamber_area_m2"), DropMM: row.F(t, "allowed_level_drop_mm"),
		}
		h, salinity, reached, err := d.TimeToIntake()
		require.NoError(t, err)
		limitH, _, err := d.TimeToSalinity(row.F(t, "salinity_limit_high"))
		require.NoError(t, err)
		worst = math.Max(worst, closed(t, row, "time_to_intake_uncovered_h_closed", h, reached))
		worst = math.Max(worst, closed(t, row, "salinity_when_intake_uncovered_closed", salinity, reached))
		worst = math.Max(worst, closed(t, row, "time_to_salinity_limit_h_closed", limitH, true))
		lost := d.EvaporationLPerDay * row.F(t, "t_query_h") / quantity.HoursPerDay
		require.Equal(t, row.Has("salinity_at_query"), lost <= d.lossAtIntakeL(), "case %s", row["case"])
		if row.Has("salinity_at_query") {
			worst = math.Max(worst, relative(d.salinityAfter(lost), row.F(t, "salinity_at_query")))
			worst = math.Max(worst, relative(lost/d.ChamberAreaM2, row.F(t, "level_drop_at_query_mm")))
		}
	}
	t.Logf("worst disagreement over %d rows: %.2g relative", len(rows), worst)
	assert.Less(t, worst, 1e-6, "exact arithmetic, README of the tables")
}

// Salt in the tank plus salt on the floor is the salt at the start; what spills carries the falling salinity.
func TestStuckPumpKeepsSaltAndWater(t *testing.T) {
	p := StuckPump{VolumeL: 300, OverflowL: 330, Salinity: 35, PumpLPerH: 20, EvaporationLPerH: 0.2}
	const steps, hours = 20000, 12.0
	spilledSalt, last := 0.0, Filled{VolumeL: 300, Salinity: 35}
	for i := 1; i <= steps; i++ {
		now, err := p.After(hours * float64(i) / steps)
		require.NoError(t, err)
		spilledSalt += (now.SpilledL - last.SpilledL) * (now.Salinity + last.Salinity) / 2
		require.LessOrEqual(t, now.Salinity, last.Salinity)
		last = now
	}
	assert.InEpsilon(t, 300*35, last.VolumeL*last.Salinity+spilledSalt, 1e-7, "trapezoids of 6e-4 h")
	assert.InDelta(t, 300+hours*(20-0.2), last.VolumeL+last.SpilledL, 1e-9)
	h, reached, err := p.TimeToSalinity(last.Salinity)
	require.NoError(t, err)
	assert.True(t, reached)
	assert.InDelta(t, hours, h, 1e-9, "round trip")
}

func air(c, rh float64) Room {
	return Room{
		Air: moistair.State{
			Temp: quantity.Celsius(c), RelativeHumidity: rh, Pressure: quantity.StandardAtmosphere,
		},
		AirSpeedMS: 0.1,
	}
}

func input() EnduranceInput {
	return EnduranceInput{
		VolumeL: 340, Salinity: 35, HarmLowPSU: 31, HarmHighPSU: 38, Water: 25.5,
		Surfaces: []FreeSurface{{0.6, 1}, {0.32, 0.85}},
		Usual:    air(21, 0.5), Coldest: air(17, 0.4), Warmest: air(26, 0.6),
		Reservoir: Reservoir{SizeL: 60, ContentL: 50, FloorMM: 0, WaterLineMM: 350, HoseEndMM: 400},
		Sump: Sump{
			ReturnChamberAreaM2: 0.08, WaterLineMM: 220, ReturnIntakeMM: 90, FreeL: 40, DrainDownL: 25, LevelBandMM: 5,
		},
		Pump:     Pump{FlowLPerH: 30, PipeMaxLPerH: 60, RunLimitMin: 3},
		DaysAway: 7, ReservePercent: 25,
	}
}

func run(t *testing.T, change func(*EnduranceInput)) EnduranceResult {
	t.Helper()
	in := input()
	change(&in)
	r, err := Endurance(in)
	require.NoError(t, err)
	return r
}

func nothing(*EnduranceInput) {}

func TestEnduranceKeepsTheBooks(t *testing.T) {
	in := input()
	r := run(t, nothing)
	require.Len(t, r.Rooms, 3)
	high := 0.0
	for _, room := range r.Rooms {
		assert.InEpsilon(t, 50/room.LitresPerDay.Low, room.BestDays, 1e-12)
		assert.InEpsilon(t, 50/room.LitresPerDay.Expected, room.ExpectedDays, 1e-12)
		assert.InEpsilon(t, 50/room.LitresPerDay.High, room.WorstDays, 1e-12)
		assert.True(t, room.Empties && room.RunsDry)
		assert.InEpsilon(
			t, room.LitresPerDay.Expected/0.08, room.LevelFallMMPerDay.Expected, 1e-12, "1 L over 1 m2 is 1 mm",
		)
		assert.InEpsilon(t, 35*340/(340-room.LitresPerDay.High)-35, room.SalinityRisePerDay.High, 1e-9)
		assert.InEpsilon(t, 24*0.08*130/room.LitresPerDay.High, room.RunDryH, 1e-12)
		assert.InEpsilon(t, 35*340/(340-0.08*130), room.SalinityAtRunDry, 1e-12, "salt is kept")
		high = math.Max(high, room.LitresPerDay.High)
		if room.Room == r.WorstRoom {
			assert.InEpsilon(t, 7*room.LitresPerDay.High*1.25, r.Trip.NeedL, 1e-12)
		}
	}
	assert.Equal(t, r.Trip.NeedL <= 50, r.Trip.Sufficient)
	assert.InEpsilon(t, 7*high*1.25, r.Size.SmallestSufficientL, 1e-12)
	assert.InEpsilon(t, r.Rooms[0].LitresPerDay.Expected/24/30, r.Run.Duty, 1e-12)
	assert.InEpsilon(t, 0.08*5, r.Run.DoseL, 1e-12)
	assert.InEpsilon(t, 2*r.Run.DoseMin, r.Run.ShortestLimitMin, 1e-12)
	assert.InDelta(t, 60*r.Run.DoseL/30, r.Run.DoseMin, 0.02, "evaporation is a small part of the flow")
	assert.True(t, r.Run.KeepsUp)
	assert.Equal(t, DrainDown{VolumeL: 25, FreeL: 40, SpareL: 15, Fits: true}, r.DrainDown)
	assert.False(t, run(t, func(in *EnduranceInput) { in.Sump.DrainDownL = 40.5 }).DrainDown.Fits)
	assert.False(t, r.Siphon.Risk)

	// The stuck pump is the exported closed form.
	p := in.pumpFor(math.Min(r.Rooms[0].LitresPerDay.Low, math.Min(
		r.Rooms[1].LitresPerDay.Low, r.Rooms[2].LitresPerDay.Low,
	)))
	end, err := p.After(50.0 / 30)
	require.NoError(t, err)
	assert.InEpsilon(t, end.Salinity, r.Stuck.FinalSalinity, 1e-12)
	assert.Equal(t, end, r.Stuck.Path[len(r.Stuck.Path)-1].Filled)
	assert.InEpsilon(t, 50.0/30, r.Stuck.ReservoirEmptyH, 1e-12)
	assert.InEpsilon(t, 1.5, r.Stuck.PerRunLimitL, 1e-12, "3 min at 30 L/h")
	assert.True(t, r.Stuck.LimitHarmless)
}

func TestTheReservoirIsTheLastLimit(t *testing.T) {
	r := run(t, nothing)
	in := input()
	assert.Equal(t, "overflow", r.Size.LimitedBy)
	largest := r.Size.LargestHarmlessL
	for _, c := range []struct {
		content  float64
		harmless bool
	}{{largest * (1 - 1e-9), true}, {largest * (1 + 1e-9), false}} {
		r := run(t, func(in *EnduranceInput) { in.Reservoir.SizeL, in.Reservoir.ContentL = 1000, c.content })
		assert.Equal(t, c.harmless, r.Stuck.Harmless, "content %g of %g", c.content, largest)
		assert.Equal(t, c.harmless, r.Size.ContentHarmless)
		assert.Equal(t, !c.harmless, r.Stuck.Overflows)
	}
	// 340 L at 35 to 31 takes 340·(35/31 - 1) = 43.87 L, a wide sump leaves that as the limit. Derived.
	wide := run(t, func(in *EnduranceInput) { in.Sump.FreeL = 200 })
	assert.Equal(t, "dilution", wide.Size.LimitedBy)
	assert.InEpsilon(t, 340*(35.0/31-1), wide.Size.LargestHarmlessL, 0.01, "evaporation adds under 1 %")
	for _, k := range []float64{1 - 1e-9, 1 + 1e-9} {
		r := run(t, func(in *EnduranceInput) {
			in.Sump.FreeL, in.Reservoir.SizeL, in.Reservoir.ContentL = 200, 1000, wide.Size.LargestHarmlessL*k
		})
		assert.Equal(t, k > 1, r.Stuck.ReachesLow)
		assert.Equal(t, k < 1, r.Size.ContentHarmless)
	}

	long := run(t, func(in *EnduranceInput) { in.DaysAway = 30 })
	assert.True(t, long.Size.Conflict)
	assert.Contains(t, long.Size.Remedies, SecondCutOff)
	assert.Contains(t, long.Size.Remedies, RunLimit)
	assert.Contains(t, long.Size.Remedies, DayContainer)
	assert.Contains(t, long.Size.Remedies, MoreFreeRoom)
	assert.False(t, long.Trip.Sufficient)
	assert.InEpsilon(t, long.Trip.NeedL-50, long.Trip.ShortL, 1e-12)
	// A run as long as the longest limit does no harm.
	atLimit := run(t, func(in *EnduranceInput) {
		in.Reservoir.SizeL, in.Reservoir.ContentL, in.Pump.RunLimitMin = 1000, 500,
			long.Size.LongestRunLimitMin*(1-1e-9)
	})
	assert.True(t, atLimit.Stuck.LimitHarmless)
	assert.False(t, atLimit.Stuck.Harmless)
	atLimit = run(t, func(in *EnduranceInput) {
		in.Reservoir.SizeL, in.Reservoir.ContentL, in.Pump.RunLimitMin = 1000, 500,
			long.Size.LongestRunLimitMin*(1+1e-6)
	})
	assert.False(t, atLimit.Stuck.LimitHarmless)

	short := run(t, func(in *EnduranceInput) { in.DaysAway, in.Reservoir.ContentL = 1, 10 })
	assert.False(t, short.Size.Conflict)
	assert.Empty(t, short.Size.Remedies)
	assert.Less(t, short.Size.SmallestSufficientL, short.Size.LargestHarmlessL)

	// The largest harmless size is the closed form, at the low evaporation.
	low := math.Inf(1)
	for _, room := range r.Rooms {
		low = math.Min(low, room.LitresPerDay.Low)
	}
	dilution, overflow, unlimited := in.pumpFor(low).largestHarmless(in.HarmLowPSU)
	assert.False(t, unlimited)
	assert.Equal(t, r.Size.DilutionL, dilution)
	assert.Equal(t, r.Size.OverflowL, overflow)
}

func TestASlowPumpCannotFlood(t *testing.T) {
	r := run(t, func(in *EnduranceInput) { in.Pump.FlowLPerH, in.Pump.RunLimitMin = 0.01, 0 })
	assert.True(t, r.Size.Unlimited && r.Size.ContentHarmless && r.Stuck.Harmless)
	assert.False(t, r.Run.KeepsUp)
	assert.Zero(t, r.Size.LargestHarmlessL)
	assert.InDelta(t, 35, r.Stuck.FinalSalinity, 1e-9)
	tight := run(t, func(in *EnduranceInput) { in.Pump.RunLimitMin = 0.1 })
	assert.True(t, tight.Run.LimitTooShort)
	endless := run(t, func(in *EnduranceInput) {
		in.Pump.FlowLPerH, in.Reservoir.SizeL, in.Reservoir.ContentL = 0.01, 1e6, 1e6
	})
	assert.False(t, endless.Stuck.Empties)
}

func TestSiphon(t *testing.T) {
	high := func(in *EnduranceInput) {
		in.Reservoir.FloorMM, in.Reservoir.WaterLineMM, in.Reservoir.HoseEndMM = 300, 700, 400
	}
	r := run(t, high)
	assert.True(t, r.Siphon.Risk)
	assert.InEpsilon(t, 50*300.0/400, r.Siphon.VolumeL, 1e-12, "down to the hose's end")
	assert.InEpsilon(t, 35*340/(340+37.5), r.Siphon.Salinity, 1e-12, "it fits under the rim")
	assert.False(t, r.Siphon.Overflows || r.Siphon.Harmful)
	r = run(t, func(in *EnduranceInput) { high(in); in.Reservoir.HoseEndMM = 250; in.Sump.FreeL = 30 })
	assert.InEpsilon(t, 50, r.Siphon.VolumeL, 1e-12, "all of it")
	assert.True(t, r.Siphon.Overflows && r.Siphon.Harmful)
	assert.InEpsilon(t, 35*340.0/370*math.Exp(-20.0/370), r.Siphon.Salinity, 1e-12)
	r = run(t, func(in *EnduranceInput) { high(in); in.Reservoir.SiphonBreak = true })
	assert.False(t, r.Siphon.Risk)
	r = run(t, func(in *EnduranceInput) { in.Reservoir.WaterLineMM = 400 })
	assert.False(t, r.Siphon.Risk, "level with the hose's end nothing runs")
	r = run(t, func(in *EnduranceInput) { in.Reservoir.WaterLineMM, in.Reservoir.HoseEndMM = 150, 100 })
	assert.True(t, r.Siphon.Backflow)
}

func TestEnduranceIsMonotonic(t *testing.T) {
	base := run(t, nothing)
	drier := run(t, func(in *EnduranceInput) { in.Usual = air(21, 0.3) })
	assert.Less(t, drier.Rooms[0].ExpectedDays, base.Rooms[0].ExpectedDays)
	assert.Less(t, drier.Rooms[0].RunDryH, base.Rooms[0].RunDryH)
	longer := run(t, func(in *EnduranceInput) { in.DaysAway = 14 })
	assert.InEpsilon(t, 2*base.Trip.NeedL, longer.Trip.NeedL, 1e-12)
	larger := run(t, func(in *EnduranceInput) { in.VolumeL = 680 })
	assert.Greater(t, larger.Stuck.FinalSalinity, base.Stuck.FinalSalinity)
	assert.Greater(t, larger.Size.DilutionL, base.Size.DilutionL)
	slower := run(t, func(in *EnduranceInput) { in.Pump.FlowLPerH = 10 })
	assert.Greater(t, slower.Size.LargestHarmlessL, base.Size.LargestHarmlessL)

	wet := run(t, func(in *EnduranceInput) { in.Usual, in.Warmest = air(32, 0.95), air(32, 0.95) })
	assert.True(t, wet.Rooms[0].Condensing)
	assert.False(t, wet.Rooms[0].Empties || wet.Rooms[0].RunsDry || wet.Rooms[0].SalinityHighFirst)
	assert.Zero(t, wet.Rooms[0].BestDays)
}

func TestAMeasurementScalesTheRooms(t *testing.T) {
	measured := func(in *EnduranceInput) {
		in.Measured = &Measured{LitresPerDay: 2.2, Room: in.Usual, Water: in.Water, UncertaintyPercent: 10}
	}
	r := run(t, measured)
	assert.InEpsilon(t, 2.2, r.Rooms[0].LitresPerDay.Expected, 1e-9)
	assert.InEpsilon(t, 2.2*0.9, r.Rooms[0].LitresPerDay.Low, 1e-9)
	assert.InEpsilon(t, 2.2*1.1, r.Rooms[0].LitresPerDay.High, 1e-9)
	plain := run(t, nothing)
	assert.InEpsilon(t, plain.Rooms[1].LitresPerDay.Expected/plain.Rooms[0].LitresPerDay.Expected,
		r.Rooms[1].LitresPerDay.Expected/r.Rooms[0].LitresPerDay.Expected, 1e-9, "moves with the room as the "+
			"correlation does")
	in := input()
	measured(&in)
	in.Measured.LitresPerDay = 0
	_, err := Endurance(in)
	var out *calc.RangeError
	assert.ErrorAs(t, err, &out)
}

func TestBackSiphon(t *testing.T) {
	v, err := BackSiphonL(BackSiphonInput{DisplayAreaM2: 0.6, WeirDropMM: 10, NozzleDropMM: 35, PlumbingL: 4})
	require.NoError(t, err)
	assert.InEpsilon(t, 0.6*35+4, v, 1e-12, "1 mm over 1 m2 is 1 L")
	_, err = BackSiphonL(BackSiphonInput{})
	var out *calc.RangeError
	assert.ErrorAs(t, err, &out)
}

func TestImpossibleInputNamesItsFields(t *testing.T) {
	for param, change := range map[string]func(*EnduranceInput){
		"return_intake_mm":         func(in *EnduranceInput) { in.Sump.ReturnIntakeMM = in.Sump.WaterLineMM },
		"pump_l_h":                 func(in *EnduranceInput) { in.Pump.FlowLPerH = 60.1 },
		"reservoir_content_l":      func(in *EnduranceInput) { in.Reservoir.ContentL = 60.1 },
		"reservoir_water_line_mm":  func(in *EnduranceInput) { in.Reservoir.WaterLineMM = in.Reservoir.FloorMM },
		"salinity_psu":             func(in *EnduranceInput) { in.HarmLowPSU = 35 },
		"harm_high_psu":            func(in *EnduranceInput) { in.HarmHighPSU = 34 },
		"coldest_c":                func(in *EnduranceInput) { in.Coldest = air(22, 0.5) },
		"volume_l":                 func(in *EnduranceInput) { in.VolumeL = 1; in.Sump.FreeL = 0 },
		"return_chamber_length_mm": func(in *EnduranceInput) { in.Sump.ReturnChamberAreaM2 = 3 },
	} {
		in := input()
		change(&in)
		_, err := Endurance(in)
		var conflict *calc.ConflictError
		if assert.ErrorAs(t, err, &conflict, param) {
			assert.Contains(t, conflict.Params, param)
		}
	}
	for param, change := range map[string]func(*EnduranceInput){
		"volume_l":            func(in *EnduranceInput) { in.VolumeL = math.NaN() },
		"surfaces":            func(in *EnduranceInput) { in.Surfaces = nil },
		"area_m2":             func(in *EnduranceInput) { in.Surfaces[0].AreaM2 = 0 },
		"days_away":           func(in *EnduranceInput) { in.DaysAway = 366 },
		"level_band_mm":       func(in *EnduranceInput) { in.Sump.LevelBandMM = 0 },
		"reservoir_content_l": func(in *EnduranceInput) { in.Reservoir.ContentL = math.Inf(1) },
	} {
		in := input()
		change(&in)
		_, err := Endurance(in)
		var out *calc.RangeError
		if assert.ErrorAs(t, err, &out, param) {
			assert.Equal(t, param, out.Param)
		}
	}
	in := input()
	in.Pump.FlowLPerH, in.Pump.PipeMaxLPerH = 60, 60
	_, err := Endurance(in)
	assert.NoError(t, err, "on the limit is possible")
}

// By hand: 300 L at 35 down to 30 takes 300·(35/30 - 1) = 50 L, the rim 24 L; a pump of
// 12 L/h against 0.12 L/h of evaporation stretches both by 12/11.88.
func TestLargestHarmlessByHand(t *testing.T) {
	p := StuckPump{VolumeL: 300, OverflowL: 324, Salinity: 35, PumpLPerH: 12, EvaporationLPerH: 0.12}
	dilution, overflow, unlimited := p.largestHarmless(30)
	assert.InDelta(t, 50.505, dilution, 1e-3)
	assert.InDelta(t, 24.242, overflow, 1e-3)
	assert.False(t, unlimited)
}

func TestClosedFormsRefuseWhatTheyCannot(t *testing.T) {
	good := StuckPump{VolumeL: 100, OverflowL: 110, Salinity: 35, PumpLPerH: 5, EvaporationLPerH: 0.1}
	with := func(change func(*StuckPump)) StuckPump { p := good; change(&p); return p }
	last := func(all ...any) error { err, _ := all[len(all)-1].(error); return err }
	broken := with(func(p *StuckPump) { p.VolumeL = 0 })
	spilling := with(func(p *StuckPump) { p.OverflowL = 99 })
	slow := with(func(p *StuckPump) { p.PumpLPerH = 0.05 })
	dry := DryDown{VolumeL: 100, Salinity: 35, EvaporationLPerDay: 2, ChamberAreaM2: 0.1, DropMM: 100}
	var out *calc.RangeError
	for name, err := range map[string]error{
		"overflow": last(broken.TimeToOverflow()), "after": last(broken.After(1)), "hours": last(good.After(-1)),
		"salinity": last(broken.TimeToSalinity(30)), "limit": last(good.TimeToSalinity(0)),
		"intake": last(DryDown{}.TimeToIntake()), "dry salinity": last(DryDown{}.TimeToSalinity(38)),
		"dry limit": last(dry.TimeToSalinity(0)),
	} {
		assert.ErrorAs(t, err, &out, name)
	}
	var conflict *calc.ConflictError
	for name, err := range map[string]error{
		"spilling": last(spilling.After(1)), "slow": last(slow.After(1)),
	} {
		assert.ErrorAs(t, err, &conflict, name)
	}
	_, reached, err := slow.TimeToSalinity(30)
	require.NoError(t, err)
	assert.False(t, reached)
	_, reached, err = slow.TimeToOverflow()
	require.NoError(t, err)
	assert.False(t, reached)
	h, reached, err := good.TimeToSalinity(36)
	require.NoError(t, err)
	assert.True(t, reached)
	assert.Zero(t, h)

	dry.EvaporationLPerDay = 0
	_, _, reached, err = dry.TimeToIntake()
	require.NoError(t, err)
	assert.False(t, reached)
	_, reached, err = dry.TimeToSalinity(35)
	require.NoError(t, err)
	assert.True(t, reached)
	dry.DropMM = 0
	h, _, reached, err = dry.TimeToIntake()
	require.NoError(t, err)
	assert.True(t, reached)
	assert.Zero(t, h)
	dry.Salinity = 0
	_, reached, err = dry.TimeToSalinity(35)
	require.NoError(t, err)
	assert.False(t, reached)
}

func FuzzEndurance(f *testing.F) {
	f.Add(340.0, 35.0, 31.0, 38.0, 25.5, 0.6, 0.5, 60.0, 50.0, 350.0, 400.0, 0.08, 130.0, 40.0, 30.0, 3.0, 7.0)
	f.Add(1.0, 1.0, 0.1, 60.0, 0.0, 1e-4, 1.0, 1e6, 1e6, 20000.0, 0.0, 1e-4, 0.1, 0.0, 1e5, 0.0, 365.0)
	f.Add(1e6, 42.0, 41.9, 42.1, 40.0, 1e4, 0.0, 1e6, 1e6, 1.0, 5000.0, 200.0, 4999.0, 1e6, 0.01, 1e6, 0.1)
	f.Fuzz(func(t *testing.T, volume, salinity, low, high, water, area, rh, size, content, line, outlet, chamber, drop,
		free, flow, limit, days float64) {
		in := input()
		in.VolumeL, in.Salinity, in.HarmLowPSU, in.HarmHighPSU, in.Water = volume,
			quantity.PracticalSalinity(salinity), low, high, quantity.Celsius(water)
		in.Surfaces[0].AreaM2, in.Usual.Air.RelativeHumidity = area, rh
		in.Reservoir.SizeL, in.Reservoir.ContentL, in.Reservoir.WaterLineMM, in.Reservoir.HoseEndMM = size, content,
			line, outlet
		in.Sump.ReturnChamberAreaM2, in.Sump.FreeL = chamber, free
		in.Sump.WaterLineMM, in.Sump.ReturnIntakeMM = drop, 0
		in.Pump.FlowLPerH, in.Pump.PipeMaxLPerH, in.Pump.RunLimitMin, in.DaysAway = flow, flow, limit, days
		r, err := Endurance(in)
		if err != nil {
			var out *calc.RangeError
			var conflict *calc.ConflictError
			require.True(t, errors.As(err, &out) || errors.As(err, &conflict), "%v", err)
			return
		}
		numbers := []float64{
			r.Trip.NeedL, r.Trip.ExpectedL, r.Trip.ShortL, r.Run.Duty, r.Run.DoseL, r.Run.DoseMin, r.Run.DosesPerDay,
			r.Run.ShortestLimitMin,
			r.Stuck.ReservoirEmptyH, r.Stuck.OverflowH, r.Stuck.LowSalinityH, r.Stuck.FinalSalinity,
			r.Stuck.FinalVolumeL, r.Stuck.SpilledL,
			r.Stuck.PerRunLimitL, r.Stuck.SalinityAtLimit, r.Siphon.VolumeL, r.Siphon.Salinity,
			r.Size.LargestHarmlessL, r.Size.DilutionL,
			r.Size.OverflowL, r.Size.LongestRunLimitMin, r.Size.DayContainerDays,
		}
		for _, room := range r.Rooms {
			numbers = append(numbers, room.LitresPerDay.High, room.BestDays, room.ExpectedDays, room.WorstDays,
				room.SalinityRisePerDay.High,
				room.LevelFallMMPerDay.High, room.RunDryH, room.SalinityAtRunDry, room.HighSalinityH)
		}
		for _, x := range numbers {
			require.False(t, math.IsNaN(x) || math.IsInf(x, 0) || x < 0, "%v of %+v", numbers, in)
		}
	})
}
