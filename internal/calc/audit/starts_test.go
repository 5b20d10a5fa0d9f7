package audit

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// hardStarts is bare() on one circuit of 10 A, with a chiller of 700 W and two circulation pumps of 250 W, all of which
// draw six times as much for half a second.
func hardStarts() plan.Plan {
	p := bare()
	p.Power = plan.Power{LongestOutageH: 2, Circuits: []plan.Circuit{{ID: "wall", BreakerA: ptr(10.0)}}}
	p.Chillers = []plan.Chiller{{ID: "chiller", CoolingW: 600, PowerW: 700, ThermostatC: ptr(27.0),
		ThermostatHysteresisK: 1}}
	p.Pumps = nil
	for _, id := range []string{"left", "right"} {
		p.Pumps = append(
			p.Pumps,
			plan.Pump{ID: id, Role: plan.CirculationRole, FlowLH: 4000, PowerW: 250, HeatShare: 0.1},
		)
	}
	for _, id := range []string{"chiller", "left", "right"} {
		p.Power.Starts = append(p.Power.Starts, plan.Start{Element: id, InrushTimes: 6, InrushS: 0.5})
	}
	return p
}

// By hand: 6·(700 + 250 + 250) + 300 + 100 W (heater and lamp of bare()) are 7600 W, 33.0 A at 230 V. A breaker of
// 10 A, type B, may open from 30 A on; type C from 50 A. With the chiller a minute later the worst moment is that
// of the chiller, 4200 + 500 + 400 W = 5100 W, 22.2 A.
func TestACircuitThatTripsAtReturn(t *testing.T) {
	p := hardStarts()
	done, list, err := plan.Complete(p)
	require.NoError(t, err)
	assert.True(t, slices.ContainsFunc(list, func(a plan.Assumption) bool {
		return a.Param == "power.circuits[0].breaker_type"
	}))
	peak, at := done.StartPeak("wall")
	assert.InDelta(t, 7600, peak, 1e-9)
	assert.Zero(t, at)

	f, answered := found(t, p, "trips_at_return")
	assert.Equal(
		t,
		text.Params{"circuit": "wall", "current": 7600.0 / 230, "opens": 30.0, "type": "B"},
		f.Message.Params,
	)
	assert.True(t, answered)
	assert.Equal(t, text.Params{"element": "chiller"}, f.Answer.Sentence.Params)
	r := single(t, p)
	x := fault(t, r, "wall.trips_at_return")
	assert.Equal(t, fault(t, r, "wall.tripped").Crossings, x.Crossings, "all on it is dead")
	assert.InDelta(t, 1.3545, x.Fault.PerYear, 1e-12)

	later := p.Clone()
	f.Answer.Edit(&later)
	done, _, err = plan.Complete(later)
	require.NoError(t, err)
	peak, at = done.StartPeak("wall")
	assert.InDelta(t, 5100, peak, 1e-9)
	assert.InDelta(t, 60, at, 1e-9)
	assert.NotContains(t, checked(t, later), "trips_at_return")
	has := func(r Report, id string) bool {
		return slices.ContainsFunc(r.Faults, func(f FaultReport) bool { return f.Fault.ID == id })
	}
	assert.False(t, has(single(t, later), "wall.trips_at_return"))

	p.Power.Circuits[0].BreakerType = ptr(plan.TypeC)
	assert.NotContains(t, checked(t, p), "trips_at_return")
	p = hardStarts()
	p.Power.Starts = nil
	assert.NotContains(t, checked(t, p), "trips_at_return")
	assert.False(t, has(single(t, p), "wall.trips_at_return"))
}

// An outage of two hours. hardStarts() holds: after it the water of the warmest room is not yet warm enough for the
// chiller to call, so that the pumps start without it, 6·500 + 100 W (a prediction that was wrong at first). With three
// pumps of 400 W in place of them 7200 W start at once, above 6900 W: the circuit opens, the water stands still,
// and its oxygen runs out before anybody looks. With one of them a minute later it is as if nothing had opened.
func TestAnOutageEndsInATrip(t *testing.T) {
	p := hardStarts()
	p.Oxygen.DemandMgLH = ptr(0.5)
	least := func() float64 { return fault(t, single(t, p), "mains.lost").Extremes.OxygenMinMgL }
	p.Power.Starts[0].BackAfterMin = ptr(1.0)
	held := least()
	p.Power.Starts[0].BackAfterMin = nil
	assert.InDelta(t, held, least(), 1e-6)

	p.Chillers, p.Pumps, p.Power.Starts = nil, nil, nil
	for _, id := range []string{"left", "middle", "right"} {
		p.Pumps = append(
			p.Pumps,
			plan.Pump{ID: id, Role: plan.CirculationRole, FlowLH: 4000, PowerW: 400, HeatShare: 0.1},
		)
		p.Power.Starts = append(p.Power.Starts, plan.Start{Element: id, InrushTimes: 6, InrushS: 0.5})
	}
	assert.Less(t, least(), held-2)
	p.Power.Starts[1].BackAfterMin = ptr(1.0)
	assert.InDelta(t, held, least(), 0.3)
}

// Two chillers that each start too hard for the rest get a minute each; one that starts too hard alone gets no advice.
func TestOneAfterTheOther(t *testing.T) {
	p := hardStarts()
	p.Chillers = append(p.Chillers, plan.Chiller{ID: "second", CoolingW: 600, PowerW: 700, ThermostatC: ptr(27.0),
		ThermostatHysteresisK: 1})
	p.Power.Starts = append(p.Power.Starts, plan.Start{Element: "second", InrushTimes: 6, InrushS: 0.5})
	f, answered := found(t, p, "trips_at_return")
	assert.True(t, answered)
	assert.Equal(t, text.Params{"elements": []string{"chiller", "second"}}, f.Answer.Sentence.Params)
	p.Power.Starts[0].InrushTimes = 12
	f, _ = found(t, p, "trips_at_return")
	assert.Nil(t, f.Answer)
}

func TestStartsThatCannotBe(t *testing.T) {
	p := hardStarts()
	p.Power.Starts = append(p.Power.Starts, plan.Start{Element: "left"}, plan.Start{Element: "wall"})
	p.Power.Circuits[0].BreakerA, p.Power.Circuits[0].BreakerType = nil, ptr(plan.TypeD)
	_, _, err := plan.Complete(p)
	require.Error(t, err)
	for _, code := range []string{
		"plan_output_named_twice", "plan_unknown_id_elsewhere", "plan_breaker_type_needs_rating",
	} {
		assert.ErrorContains(t, err, code)
	}
}

// A strip on a battery never stops, and so starts nothing; one with a delay of its own adds to that of its devices.
func TestWhatStartsWhen(t *testing.T) {
	p := hardStarts()
	p.Power.Strips = []plan.Strip{{ID: "strip", Supply: "wall", BackAfterMin: ptr(2.0)}}
	p.Chillers[0].Supply = ptr("strip")
	p.Power.Starts[0].BackAfterMin = ptr(1.0)
	at := func() plan.Starting {
		done, _, err := plan.Complete(p)
		require.NoError(t, err)
		list := done.Startings("wall")
		return list[slices.IndexFunc(list, func(x plan.Starting) bool { return x.ID == "chiller" })]
	}
	assert.InDelta(t, 180, at().AtS, 1e-9)
	p.Power.Backups = []plan.Backup{{ID: "brick", Kind: plan.Battery, Supplies: []string{"strip"}, Hours: ptr(1.0),
		Starts: plan.ByItself}}
	assert.Zero(t, at().AtS)
	assert.InDelta(t, 1, at().Start.InrushTimes, 1e-12)
}

func TestTheHandOverTriesTheStart(t *testing.T) {
	tries := func(p plan.Plan) (n int, faults []string) {
		h, err := Hand(t.Context(), p)
		require.NoError(t, err)
		for _, x := range h.Commission {
			if x.Do.Code == "try_let_all_start" {
				n, faults = n+1, x.Faults
			}
		}
		return n, faults
	}
	n, faults := tries(hardStarts())
	assert.Equal(t, 1, n)
	assert.Equal(t, []string{"wall.trips_at_return"}, faults)
	p := hardStarts()
	p.Power.Starts[0].BackAfterMin = ptr(1.0)
	n, faults = tries(p)
	assert.Equal(t, 1, n, "the figures may be wrong")
	assert.Empty(t, faults)
	p.Power.Starts = nil
	n, _ = tries(p)
	assert.Zero(t, n)
}
