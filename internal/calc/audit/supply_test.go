package audit

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// twoOutlets is a tank with a sump whose heater, lift and light hang on one strip behind a residual-current device, and
// whose stream pump and alarms hang on a circuit of their own.
func twoOutlets() plan.Plan {
	p := bare()
	p.Sump = &plan.Sump{LengthMM: 600, WidthMM: 350, HeightMM: 400, WaterLevelMM: 220, WallMM: 10, Material: "glass",
		Lid: "open"}
	p.Power = plan.Power{LongestOutageH: 8, NetworkCircuit: ptr("wall"),
		ResidualCurrentDevices: []plan.ResidualCurrentDevice{{ID: "guard"}},
		Circuits:               []plan.Circuit{{ID: "wet", ResidualCurrentDevice: ptr("guard")}, {ID: "wall"}},
		Strips:                 []plan.Strip{{ID: "board", Supply: "wet"}}}
	p.Heaters[0].Supply = ptr("board")
	p.Lights[0].Supply = ptr("board")
	p.TopOffPumps[0].Supply = ptr("board")
	p.Pumps = []plan.Pump{
		{ID: "lift", Role: plan.ReturnRole, FlowLH: 1200, PowerW: 20, HeatShare: 1, Supply: ptr("board")},
		{ID: "stream", Role: plan.CirculationRole, FlowLH: 2000, PowerW: 10, HeatShare: 1, Supply: ptr("wall")},
	}
	return p
}

// Whatever trips the device, the strip or the circuit does the same to the water: one effect, worked out by hand from
// who hangs on whom.
func TestAWetDeviceTakesAllBehindItsDevice(t *testing.T) {
	r := single(t, twoOutlets())
	tripped := fault(t, r, "guard.trips_without_cause")
	require.NotEmpty(t, tripped.Crossings)
	for _, id := range []string{
		"heater.element_shorted", "lift.leaks_current", "pump.leaks_current", "board.failed", "wet.tripped",
	} {
		f := fault(t, r, id)
		assert.Equal(t, tripped.Crossings, f.Crossings, id)
		assert.Equal(t, tripped.Verdict, f.Verdict, id)
	}
	// The stream pump hangs on a circuit without such a device.
	for _, f := range r.Faults {
		assert.NotEqual(t, "stream.leaks_current", f.Fault.ID)
	}
	dead := fault(t, r, "guard.does_not_trip")
	assert.Equal(t, Held, dead.Verdict)
	assert.True(t, dead.Hidden)
	// A surge on the circuit takes its light and the level control, but neither heater nor pumps.
	surge := fault(t, r, "wet.surge")
	assert.Equal(t, "run_dry", surge.Ends())
	assert.InDelta(t, *fault(t, r, "pump-level-control.hung_off").HarmH, *surge.HarmH, 1,
		"as without its control, but for a little less heat")
}

// By hand: 300 W and 100 W and 20 W and the pump's 0 W on a strip of 1.5 A at 230 V, which carries 345 W. 420 W are
// 1.83 A, 1.22 times too much, so that it opens an hour after heater and light first run together.
func TestTooMuchOnAStrip(t *testing.T) {
	p := twoOutlets()
	p.Power.Strips[0].RatingA = ptr(1.5)
	r := single(t, p)
	i := indexOf(r.Findings, "supply_overloaded")
	require.GreaterOrEqual(t, i, 0)
	assert.Equal(t, text.Params{"supply": "board", "power": 420.0, "current": 420.0 / 230, "rating": 1.5},
		r.Findings[i].Message.Params)
	assert.False(t, r.Sound(), "the tank loses its heat with nothing broken")

	p.Power.Strips[0].RatingA = ptr(2.0) // 460 W
	r = single(t, p)
	assert.Less(t, indexOf(r.Findings, "supply_overloaded"), 0)
	s, err := Check(p)
	require.NoError(t, err)
	assert.Less(t, indexOf(s.Weaknesses, "supply_overloaded"), 0)
	p.Power.VoltageV = ptr(120.0) // 240 W
	s, err = Check(p)
	require.NoError(t, err)
	assert.GreaterOrEqual(t, indexOf(s.Weaknesses, "supply_overloaded"), 0)
}

func indexOf(list []Finding, code string) int {
	for i, f := range list {
		if f.Code == code {
			return i
		}
	}
	return -1
}

// An outage of eight hours. A battery of 240 Wh over the board's 420 W and the wall's 10 W lasts 33 minutes.
func TestWhatCarriesAnOutage(t *testing.T) {
	p := twoOutlets()
	p.Power.Backups = []plan.Backup{{ID: "brick", Kind: plan.Battery, Supplies: []string{"board", "wall"},
		CapacityWh: ptr(240.0), Starts: plan.ByItself}}
	done, list, err := plan.Complete(p)
	require.NoError(t, err)
	assert.InDelta(t, 240.0/430, *done.Power.Backups[0].Hours, 1e-12)
	assert.True(t, slices.ContainsFunc(list, func(a plan.Assumption) bool {
		return a.Param == "power.backups[0].hours"
	}))

	oxygen := func(b ...plan.Backup) float64 {
		p.Power.Backups = b
		return fault(t, single(t, p), "mains.lost").Extremes.OxygenMinMgL
	}
	none := oxygen()
	wall := []string{"wall"}
	full := oxygen(plan.Backup{ID: "b", Kind: plan.Battery, Supplies: wall, Hours: ptr(9.0), Starts: plan.ByItself})
	half := oxygen(plan.Backup{ID: "b", Kind: plan.Battery, Supplies: wall, Hours: ptr(4.0), Starts: plan.ByItself})
	both := oxygen(
		plan.Backup{ID: "b", Kind: plan.Battery, Supplies: wall, Hours: ptr(0.5), Starts: plan.ByItself},
		plan.Backup{ID: "g", Kind: plan.Generator, Supplies: wall, Hours: ptr(9.0), DelayMin: 20,
			Starts: plan.ByItself})
	hand := oxygen(plan.Backup{ID: "g", Kind: plan.Generator, Supplies: wall, Hours: ptr(9.0), Starts: plan.ByHand})
	assert.Greater(t, full, half)
	assert.Greater(t, half, none)
	assert.InDelta(t, full, both, 1e-9, "the generator is there before the battery is flat")
	assert.InDelta(t, none, hand, 1e-12, "nobody starts it")

	// A pump that stays off after the outage leaves the water still until somebody comes.
	p.Power.Backups = nil
	p.Pumps[1].StaysOff = ptr(true)
	p.Pumps[0].StaysOff = ptr(true)
	assert.Less(t, fault(t, single(t, p), "mains.lost").Extremes.OxygenMinMgL, none)
}
