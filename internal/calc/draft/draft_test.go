package draft

import (
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
)

func tank(litres float64, group plan.Livestock, coldC, usualC, warmC, days float64) Input {
	return Input{
		Livestock: group,
		Display: plan.Vessel{
			VolumeL: new(litres), WallMM: 10, Material: "glass", Lid: "open", FreeboardMM: 40, DrainBackMM: 15,
			IntakeDropMM: 50, RockShare: 0.1,
		},
		Room: plan.Room{
			Usual:      plan.RoomState{TempC: usualC, RHPercent: 50},
			Coldest:    &plan.RoomState{TempC: coldC, RHPercent: 45},
			Warmest:    &plan.RoomState{TempC: warmC, RHPercent: 55},
			AirSpeedMS: 0.1,
		},
		LookEveryH: 24, DaysAway: days, ResponseH: 3, LongestOutageH: 6,
		Budget: Budget{Heaters: 3, Circuits: 2, Battery: true, Cellular: true},
	}
}

// A grid of tanks: each draft either has an audit without a single fault lost, or says which limit stands in the way.
func TestDraftsOverAGridOfTanks(t *testing.T) {
	var volumes = []float64{20, 30, 45, 60, 90, 130, 200, 300, 450, 700, 1000, 1500, 2200, 3000}
	groups := []plan.Livestock{plan.FishOnly, plan.SoftCorals, plan.MixedReef, plan.StonyCorals}
	rooms := [][3]float64{{18, 21, 26}, {15, 19, 27}, {20, 23, 28}, {17, 22, 30}}
	sound, total, attempts := 0, 0, 0
	failed, watching, standing := map[string]int{}, map[string]int{}, []string{}
	for _, v := range volumes {
		for _, g := range groups {
			for k, r := range rooms {
				if testing.Short() && (total%7 != 0) {
					total++
					continue
				}
				total++
				out, err := Draft(context.Background(), tank(v, g, r[0], r[1], r[2], []float64{2, 3, 5, 4}[k]))
				require.NoError(t, err, "%v L %s %v", v, g, r)
				attempts += out.Attempts
				for _, f := range out.Report.Findings { // alarms on running are silent while the tank is well
					standing = append(standing, standingOf(f, "heats-too-long", "fills-no-more")...)
				}
				for _, a := range out.Plan.Alarms {
					watching[a.ID]++
				}
				if out.Sound {
					sound++
					assert.Zero(t, out.Report.Count("lost"))
					assert.Empty(t, out.Limits)
					continue
				}
				require.NotEmpty(t, out.Limits, "%v L %s %v", v, g, r)
				for _, l := range out.Limits {
					failed[l.Loss]++
					assert.NotEmpty(t, l.Message)
					assert.NotEmpty(t, l.Change)
				}
				t.Logf("%v L %s in %v: %s", v, g, r, out.Limits[0].Message)
			}
		}
	}
	require.GreaterOrEqual(t, total, 200)
	if !testing.Short() {
		assert.GreaterOrEqual(t, sound, 200)
	}
	assert.Empty(t, standing)
	t.Logf("%d plans watch the heater, %d the top-off", watching["heats-too-long"], watching["fills-no-more"])
	assert.Positive(t, watching["heats-too-long"])
	assert.Positive(t, watching["fills-no-more"])
	t.Logf("%d of %d tanks sound, %d audits; the others: %v", sound, total, attempts, failed)
}

// standingOf returns those of some alarms that a finding says are raised with nothing broken.
func standingOf(f audit.Finding, ids ...string) []string {
	var out []string
	for _, id := range ids {
		if f.Code == "standing_alarm" && slices.Contains(f.Elements, id) {
			out = append(out, id)
		}
	}
	return out
}

// Where nothing that may be bought helps, the draft says what stands in the way.
func TestDraftSaysWhatStandsInTheWay(t *testing.T) {
	in := tank(40, plan.MixedReef, 12, 17, 24, 4)
	in.Budget, in.ResponseH = Budget{Heaters: 1, Circuits: 1}, 8
	r, err := Draft(context.Background(), in)
	require.NoError(t, err)
	assert.False(t, r.Sound)
	require.NotEmpty(t, r.Limits)
	assert.Equal(t, "lost_chilled", r.Limits[0].Loss)
	in.Budget, in.ResponseH = Budget{Heaters: 2, Circuits: 2, Battery: true, Cellular: true}, 3
	r, err = Draft(context.Background(), in)
	require.NoError(t, err)
	assert.True(t, r.Sound, "%v", r.Limits)
	in.DaysAway = 0
	_, err = Draft(context.Background(), in)
	assert.Error(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = Draft(ctx, tank(100, plan.MixedReef, 18, 21, 26, 3))
	assert.ErrorIs(t, err, context.Canceled)
}
