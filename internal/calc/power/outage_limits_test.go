package power

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
	"saltwright/internal/calc/heat"
)

func endure(t *testing.T, change func(*OutageInput)) OutageResult {
	t.Helper()
	in := outage()
	change(&in)
	r, err := Endure(in)
	require.NoError(t, err)
	return r
}

func hourOf(t *testing.T, r OutageResult, code string) float64 {
	t.Helper()
	for _, a := range r.Actions {
		if a.Said.Code == code {
			return a.Hour
		}
	}
	require.Fail(t, "no action "+code)
	return 0
}

func codes(r OutageResult) []string {
	var out []string
	for _, a := range r.Actions {
		out = append(out, a.Said.Code)
	}
	return out
}

// Water, salt and limits on the edges of what is meant.
func TestOutageLimits(t *testing.T) {
	for _, c := range []struct {
		name    string
		refused bool
		change  func(*OutageInput)
	}{
		{"a litre", false, func(in *OutageInput) { in.DisplayL = 1 }},
		{"less than a litre", true, func(in *OutageInput) { in.DisplayL = 0.99 }},
		{"a million litres", false, func(in *OutageInput) { in.DisplayL = 1e6 }},
		{"more", true, func(in *OutageInput) { in.DisplayL = 1e6 + 1 }},
		{"a litre in the sump", false, func(in *OutageInput) { in.SumpL = 1 }},
		{"less in the sump", true, func(in *OutageInput) { in.SumpL = 0.99 }},
		{"a million in the sump", false, func(in *OutageInput) { in.SumpL = 1e6 }},
		{"more in the sump", true, func(in *OutageInput) { in.SumpL = 1e6 + 1 }},
		{"no sump", false, func(in *OutageInput) { in.System.Sump, in.SumpL = nil, 0 }},
		{"low limits meet", false, func(in *OutageInput) { in.ComfortLowC = in.HarmLowC }},
		{"high limits meet", false, func(in *OutageInput) { in.ComfortHighC = in.HarmHighC }},
		{"no comfort", true, func(in *OutageInput) { in.ComfortLowC = in.ComfortHighC }},
		{"at the low harm limit", true, func(in *OutageInput) { in.WaterC = in.HarmLowC }},
		{"at the high harm limit", true, func(in *OutageInput) { in.WaterC = in.HarmHighC }},
		{"oxygen limits meet", true, func(in *OutageInput) { in.Oxygen.HarmMgL = in.Oxygen.ComfortMgL }},
		{"still as stirred", false, func(in *OutageInput) { in.Oxygen.StillCMH = in.Oxygen.StirredCMH }},
	} {
		in := outage()
		c.change(&in)
		_, err := Endure(in)
		var conflict *calc.ConflictError
		assert.Equal(t, c.refused, errors.As(err, &conflict), "%s: %v", c.name, err)
	}
}

// Cooling takes the high evaporation, which ends colder; warming the low, which ends warmer.
func TestEvaporationIsTakenAgainstTheTank(t *testing.T) {
	in := outage()
	r := endure(t, func(*OutageInput) {})
	for i, against := range map[int]heat.Estimate{2: heat.EvaporationLow, 4: heat.EvaporationHigh} {
		room := in.Rooms[i/2]
		towards := in.HarmLowC
		if i == 4 {
			towards = in.HarmHighC
		}
		other, err := in.approach(in.vessels()[0].system, room, against, towards)
		require.NoError(t, err)
		if i == 2 {
			assert.Less(t, r.Paths[i].EquilibriumC, other.EquilibriumC-0.1, room.Name)
		} else {
			assert.Greater(t, r.Paths[i].EquilibriumC, other.EquilibriumC+0.1, room.Name)
		}
	}
}

func TestMomentsOfTheUsualRoom(t *testing.T) {
	// 100 Wh of which 0.72 come out feed 6 W for 12 h.
	r := endure(t, func(in *OutageInput) {
		in.Battery = &Battery{CapacityWh: 100, UsableShare: 0.8, Efficiency: 0.9, LoadW: 6, OnPercent: 100}
	})
	var at []float64
	for _, m := range r.Moments {
		at = append(at, m.Hour)
		assert.Equal(t, m.Hour < 12, m.BatteryOn, "the battery is empty at 12 h, here at %v", m.Hour)
	}
	assert.Equal(t, []float64{0, 1, 2, 4, 6, 8, 12, 18, 24}, at)
	last := r.Moments[len(r.Moments)-1]
	assert.InDelta(t, r.Paths[0].EndC, last.DisplayC, 1e-9)
	assert.InDelta(t, r.Paths[1].EndC, last.SumpC, 1e-9)
	assert.NotEqual(t, last.DisplayC, last.SumpC)
	r = endure(t, func(in *OutageInput) { in.System.Sump, in.SumpL = nil, 0 })
	last = r.Moments[len(r.Moments)-1]
	assert.Equal(t, last.DisplayC, last.SumpC, "without a sump there is one temperature")
}

// The animals are in the display: the sump cools sooner and counts for nothing.
func TestHarmAndActionsAreTheDisplaysEarliest(t *testing.T) {
	cold := func(in *OutageInput) {
		in.Oxygen.DemandMgLH = 0.01
		in.Rooms = []Room{{"usual", at(14, 0.5)}, {"coldest", at(8, 0.5)}}
		in.DurationH = 240
	}
	r := endure(t, cold)
	display, sump := r.Paths[2], r.Paths[3]
	require.Less(t, *sump.LowHarmH, *display.LowHarmH)
	require.Less(t, *display.LowHarmH, *r.Paths[0].LowHarmH)
	assert.Equal(t, "cold", r.FirstHarm)
	assert.InDelta(t, *display.LowHarmH, r.FirstHarmH, 1e-12)
	assert.InDelta(t, *display.LowHarmH, r.SafeH, 1e-12)
	assert.InDelta(t, *display.LowComfortH, hourOf(t, r, "warm"), 1e-12)
	assert.InDelta(t, *display.LowHarmH, hourOf(t, r, "cold_harm"), 1e-12)
	assert.InDelta(t, *display.LowHarmH/4, hourOf(t, r, "cover"), 1e-12)
	assert.Contains(t, codes(r), "stir")
	assert.NotContains(t, codes(r), "cool")

	ends := endure(t, func(in *OutageInput) { cold(in); in.DurationH = *display.LowHarmH })
	assert.Equal(t, "cold", ends.FirstHarm, "harm in the last moment is harm")
	ends = endure(t, func(in *OutageInput) { cold(in); in.DurationH = *display.LowHarmH * (1 - 1e-9) })
	assert.Empty(t, ends.FirstHarm)
	assert.InDelta(t, ends.Moments[len(ends.Moments)-1].Hour, ends.SafeH, 0, "all of the outage is safe")

	hot := endure(t, func(in *OutageInput) {
		in.Oxygen.DemandMgLH, in.DurationH = 0.01, 240
		in.Rooms = []Room{{"usual", at(30, 0.6)}, {"warmest", at(38, 0.8)}}
	})
	assert.Equal(t, "heat", hot.FirstHarm)
	assert.InDelta(t, *hot.Paths[2].HighComfortH, hourOf(t, hot, "cool"), 1e-12)
	assert.InDelta(t, *hot.Paths[2].HighHarmH, hourOf(t, hot, "heat_harm"), 1e-12)
	assert.NotContains(t, codes(hot), "cover")

	battery := endure(t, func(in *OutageInput) {
		in.Battery = &Battery{CapacityWh: 100, UsableShare: 0.8, Efficiency: 0.9, LoadW: 6, OnPercent: 100}
	})
	assert.InDelta(t, 12, hourOf(t, battery, "battery_ends"), 1e-12)
	assert.NotContains(t, codes(battery), "stir")
}
