package topoff

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
)

func isConflict(err error) bool {
	var conflict *calc.ConflictError
	return errors.As(err, &conflict)
}

func drainBack() DrainBackInput {
	return DrainBackInput{
		BackSiphon: BackSiphonInput{DisplayAreaM2: 0.5, WeirDropMM: 20, PlumbingL: 2},
		SumpAreaM2: 0.25, RunningMM: 150, TopOffMissedMM: 10, RimMM: 400, DisplacedL: 4, MarginMM: 40,
		Reservoir: &Reservoir{SizeL: 30, ContentL: 30, WaterLineMM: 400, HoseEndMM: 300},
	}
}

// Worked by hand: 0.5 m2 · 20 mm + 2 L are 12 L, a quarter of the reservoir is 7.5 L; over 0.25 m2 with 4 L of what
// stands there the level rises 23.5/0.25 = 94 mm from 160 mm.
func TestDrainBackWithAllItsPartsByHand(t *testing.T) {
	r, err := DrainBack(drainBack())
	require.NoError(t, err)
	for name, x := range map[string]struct{ want, got float64 }{
		"drain": {12, r.DrainL}, "siphon": {7.5, r.SiphonL}, "rise": {94, r.RiseMM}, "level": {254, r.LevelMM},
		"margin": {146, r.MarginMM}, "free": {56, r.FreeL}, "spare": {36.5, r.SpareL}, "highest": {256, r.HighestRunMM},
		"deepest": {73, r.DeepestDropMM},
	} {
		assert.InDelta(t, x.want, x.got, 1e-9, name)
	}
}

func TestDrainBackOnItsLimits(t *testing.T) {
	for _, c := range []struct {
		name    string
		refused bool
		change  func(*DrainBackInput)
	}{
		{"at the rim", true, func(in *DrainBackInput) { in.RunningMM = 390 }},
		{"under the rim", false, func(in *DrainBackInput) { in.RunningMM = 389 }},
		{"line below the floor", true, func(in *DrainBackInput) { in.Reservoir.FloorMM = 401 }},
		{"water without height", true, func(in *DrainBackInput) { in.Reservoir.FloorMM = 400 }},
		{"empty", false, func(in *DrainBackInput) { in.Reservoir.FloorMM, in.Reservoir.ContentL = 400, 0 }},
	} {
		in := drainBack()
		c.change(&in)
		_, err := DrainBack(in)
		assert.Equal(t, c.refused, isConflict(err), "%s: %v", c.name, err)
	}
	for name, change := range map[string]func(*DrainBackInput){
		"level with the hose's end": func(in *DrainBackInput) { in.Reservoir.HoseEndMM = 400 },
		"nothing in it":             func(in *DrainBackInput) { in.Reservoir.ContentL = 0 },
	} {
		in := drainBack()
		change(&in)
		r, err := DrainBack(in)
		require.NoError(t, err)
		assert.False(t, r.SiphonPossible, name)
	}
	// 12 L over 0.25 m2 are 48 mm: just to the rim is not over it.
	full := drainBack()
	full.Reservoir, full.DisplacedL, full.MarginMM, full.RunningMM = nil, 0, 0, 342
	r, err := DrainBack(full)
	require.NoError(t, err)
	assert.Zero(t, r.SpareL)
	assert.False(t, r.Overflows)
	assert.True(t, r.KeepsMargin)
}

// Worked by hand: 100 L at 35 are at 40 when 100·(1 - 35/40) = 12.5 L are gone, which 0.125 m2 show as 100 mm.
func TestSalinityAgainstTheIntake(t *testing.T) {
	for _, c := range []struct {
		dropMM float64
		before bool
	}{{99, false}, {100, true}, {101, true}} {
		d := DryDown{VolumeL: 100, Salinity: 35, EvaporationLPerDay: 2.5, ChamberAreaM2: 0.125, DropMM: c.dropMM}
		h, before, err := d.TimeToSalinity(40)
		require.NoError(t, err)
		assert.InDelta(t, 5*24, h, 1e-9)
		assert.Equal(t, c.before, before, "%v mm", c.dropMM)
	}
	d := DryDown{VolumeL: 100, Salinity: 35, EvaporationLPerDay: 2.5, ChamberAreaM2: 0.125, DropMM: 800}
	_, _, _, err := d.TimeToIntake()
	assert.True(t, isConflict(err), "the chamber would hold the whole system")
}

func TestStuckPumpOnItsLimits(t *testing.T) {
	full := StuckPump{VolumeL: 100, OverflowL: 100, Salinity: 35, PumpLPerH: 5}
	h, reached, err := full.TimeToOverflow()
	require.NoError(t, err)
	assert.True(t, reached)
	assert.Zero(t, h, "full to the rim it spills at once")

	slow := StuckPump{VolumeL: 100, OverflowL: 110, Salinity: 35, PumpLPerH: 1e-6}
	h, reached, err = slow.TimeToOverflow()
	require.NoError(t, err)
	assert.True(t, reached)
	assert.InDelta(t, 1e7, h, 1e-6, "the last hour that counts")
	slow.OverflowL = 110.001
	_, reached, err = slow.TimeToOverflow()
	require.NoError(t, err)
	assert.False(t, reached)

	even := StuckPump{VolumeL: 100, OverflowL: 110, Salinity: 35, PumpLPerH: 1, EvaporationLPerH: 1}
	f, err := even.After(1000)
	require.NoError(t, err)
	assert.Equal(t, Filled{VolumeL: 100, Salinity: 35}, f, "what comes in goes")
	h, reached, err = even.TimeToSalinity(35)
	require.NoError(t, err)
	assert.True(t, reached, "it is there already")
	assert.Zero(t, h)

	nearly := StuckPump{VolumeL: 100, OverflowL: 110, Salinity: 35, PumpLPerH: 1000, EvaporationLPerH: 1000 - 1e-7}
	_, _, unlimited := nearly.largestHarmless(30)
	assert.True(t, unlimited, "one part in 1e10 is rounding")
}

// Worked by hand: without evaporation 340 L at 35 reach 28 with 340·(35/28 - 1) = 85 L, which a pump of 30 L/h brings
// in 170 min.
func TestStuckPumpMeetsItsLimitWithTheLastDrop(t *testing.T) {
	damp := func(in *EnduranceInput) {
		in.Usual, in.Coldest, in.Warmest = air(32, 0.95), air(32, 0.95), air(32, 0.95)
		in.HarmLowPSU, in.Reservoir.SizeL, in.Reservoir.ContentL, in.Pump.RunLimitMin = 28, 1000, 85, 170
	}
	r := run(t, func(in *EnduranceInput) { damp(in); in.Sump.FreeL = 200 })
	require.Zero(t, r.Rooms[0].LitresPerDay.Low)
	assert.True(t, r.Stuck.ReachesLow)
	assert.False(t, r.Stuck.Overflows)
	assert.InDelta(t, 170.0/60, r.Stuck.LowSalinityH, 1e-9)
	assert.InDelta(t, 28, r.Stuck.SalinityAtLimit, 1e-9)
	assert.False(t, r.Stuck.LimitHarmless, "the limit reached is harm")
	assert.False(t, r.Size.ContentHarmless)

	r = run(t, func(in *EnduranceInput) { damp(in); in.Sump.FreeL = 85 })
	assert.Equal(t, "dilution", r.Size.LimitedBy, "both at once")
	r = run(t, func(in *EnduranceInput) { damp(in); in.HarmLowPSU, in.Sump.FreeL = 20, 85 })
	assert.True(t, r.Stuck.Harmless, "to the rim is not over it")
	assert.True(t, r.Size.ContentHarmless)
	r = run(t, func(in *EnduranceInput) { in.Pump.RunLimitMin = 0 })
	assert.Zero(t, r.Stuck.SalinityAtLimit)
	assert.False(t, r.Run.LimitTooShort, "there is none")
}

func TestDosesAndDayContainer(t *testing.T) {
	r := run(t, nothing)
	assert.InEpsilon(t, r.Rooms[0].LitresPerDay.Expected/0.4, r.Run.DosesPerDay, 1e-12, "5 mm over 0.08 m2 are 0.4 L")
	high := 0.0
	for _, room := range r.Rooms {
		high = max(high, room.LitresPerDay.High)
		assert.InEpsilon(t, room.LitresPerDay.Low/0.08, room.LevelFallMMPerDay.Low, 1e-12)
		assert.InEpsilon(t, room.LitresPerDay.High/0.08, room.LevelFallMMPerDay.High, 1e-12)
		// 340 L at 35 are at 38 when 340·(1 - 35/38) L are gone.
		assert.InEpsilon(t, 24*340*(3.0/38)/room.LitresPerDay.High, room.HighSalinityH, 1e-9)
	}
	assert.InEpsilon(t, r.Size.LargestHarmlessL/high, r.Size.DayContainerDays, 1e-9)
	exact := run(t, func(in *EnduranceInput) { in.Pump.RunLimitMin = r.Run.DoseMin })
	assert.False(t, exact.Run.LimitTooShort, "one dose to the minute")

	in := input()
	least := r.Rooms[0].LitresPerDay.Low
	size := in.reservoirSize(least, high, 0)
	assert.False(t, in.reservoirSize(least, high, size.LargestHarmlessL).Conflict, "the two sizes may meet")
	assert.Contains(t, in.reservoirSize(least, size.LargestHarmlessL, 1e6).Remedies, DayContainer, "a day is enough")
	assert.NotContains(t, in.reservoirSize(least, 1.01*size.LargestHarmlessL, 1e6).Remedies, DayContainer)
}

func TestTheWorstRoomOfASmallTank(t *testing.T) {
	r := run(t, func(in *EnduranceInput) {
		in.Surfaces = []FreeSurface{{0.01, 1}}
		in.Usual, in.Coldest, in.Warmest = air(21, 0.5), air(21, 0.5), air(21, 0.5)
	})
	require.Less(t, r.Rooms[0].LitresPerDay.High, 1.0)
	assert.Equal(t, "usual", r.WorstRoom, "of three alike the first")
	assert.InEpsilon(t, 7*r.Rooms[0].LitresPerDay.High*1.25, r.Trip.NeedL, 1e-12)
}

func TestSiphonOnItsLimits(t *testing.T) {
	high := func(in *EnduranceInput) {
		in.Reservoir.FloorMM, in.Reservoir.WaterLineMM, in.Reservoir.HoseEndMM, in.Sump.FreeL = 300, 700, 400, 37.5
	}
	r := run(t, high)
	assert.InDelta(t, 37.5, r.Siphon.VolumeL, 1e-12)
	assert.False(t, r.Siphon.Overflows, "it fits just under the rim")
	low := r.Siphon.Salinity
	assert.True(t, run(t, func(in *EnduranceInput) { high(in); in.HarmLowPSU = low }).Siphon.Harmful, "reached is harm")
	assert.False(t, run(t, func(in *EnduranceInput) { high(in); in.HarmLowPSU = low - 0.01 }).Siphon.Harmful)

	for _, c := range []struct {
		lineMM, hoseMM float64
		back           bool
	}{{150, 100, true}, {150, 220, false}, {220, 100, false}, {150, 219, true}, {219, 100, true}} {
		r := run(t, func(in *EnduranceInput) { in.Reservoir.WaterLineMM, in.Reservoir.HoseEndMM = c.lineMM, c.hoseMM })
		assert.Equal(t, c.back, r.Siphon.Backflow, "%+v", c)
	}
	assert.True(t, run(t, func(in *EnduranceInput) { in.Sump.DrainDownL = in.Sump.FreeL }).DrainDown.Fits)
}

func TestEnduranceOnItsLimits(t *testing.T) {
	for _, c := range []struct {
		name    string
		refused bool
		change  func(*EnduranceInput)
	}{
		{"an empty reservoir", false, func(in *EnduranceInput) {
			in.Reservoir.WaterLineMM, in.Reservoir.ContentL = in.Reservoir.FloorMM, 0
		}},
		{"at the high limit", true, func(in *EnduranceInput) { in.HarmHighPSU = 35 }},
		{"rooms alike", false, func(in *EnduranceInput) { in.Coldest, in.Warmest = in.Usual, in.Usual }},
		{"warmest colder", true, func(in *EnduranceInput) { in.Warmest = air(20.9, 0.5) }},
	} {
		in := input()
		c.change(&in)
		_, err := Endurance(in)
		assert.Equal(t, c.refused, isConflict(err), "%s: %v", c.name, err)
	}
}
