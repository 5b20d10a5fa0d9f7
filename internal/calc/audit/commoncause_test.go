package audit

import (
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
)

// Predicted by hand: two heaters of one tank, each behind a relay of the one control and with a thermostat of its own.
// Like parts are the two thermostats (0.1 welded together) and the two relays; all four contacts do the same job
// (0.03). The probe and the other probe drift together, in one place.
func TestCommonCausesOfTwoHeaters(t *testing.T) {
	p := controlled(0.4)
	second := p.Heaters[0]
	second.ID = "other"
	p.Heaters = append(p.Heaters, second)
	p.Controls[0].Outputs = []string{"heater", "other"}
	p.Sensors = append(p.Sensors, plan.Sensor{ID: "spare", Kind: plan.TemperatureKind})
	c, err := Pairs(context.Background(), p)
	require.NoError(t, err)
	of := func(members ...string) FaultReport {
		i := slices.IndexFunc(c.Report.Faults,
			func(f FaultReport) bool { return slices.Equal(f.Fault.Members, members) })
		require.GreaterOrEqual(t, i, 0, "no common cause of %v", members)
		return c.Report.Faults[i]
	}
	welded := of("heater.thermostat_welded", "other.thermostat_welded")
	assert.InDelta(t, 0.1, welded.Fault.Beta, 0)
	assert.Equal(t, []string{"heater", "other"}, welded.Fault.Elements())
	assert.InDelta(t, 0.1, of("warm.output_welded.heater", "warm.output_welded.other").Fault.Beta, 0)
	all := of("heater.thermostat_welded", "other.thermostat_welded",
		"warm.output_welded.heater", "warm.output_welded.other")
	assert.InDelta(t, 0.03, all.Fault.Beta, 0)
	assert.Equal(t, Held, welded.Verdict, "the relays still switch off")
	assert.Equal(t, Lost, all.Verdict, "nothing holds the heaters back")
	assert.InDelta(t, 0.1, of("probe.reads_low", "spare.reads_low").Fault.Beta, 0)
	ids := map[string]bool{}
	for _, f := range c.Report.Faults {
		assert.False(t, ids[f.Fault.ID], "%s names two faults", f.Fault.ID)
		ids[f.Fault.ID] = true
		for _, in := range f.Fault.Members {
			assert.True(t, ids[in])
		}
	}

	// Elsewhere they are not in one place any more.
	p.Sump = &plan.Sump{LengthMM: 500, WidthMM: 300, HeightMM: 350, WaterLevelMM: 200, WallMM: 8, Material: "glass",
		Lid: "open"}
	p.Heaters[1].Place = ptr(plan.InSump)
	p.Heaters[0].Place = ptr(plan.InDisplay)
	c, err = Pairs(context.Background(), p)
	require.NoError(t, err)
	for _, f := range c.Report.Faults {
		assert.NotEqual(t, []string{"heater.thermostat_welded", "other.thermostat_welded"}, f.Fault.Members)
	}
	assert.InDelta(t, 0.03, of("heater.thermostat_open", "other.thermostat_open").Fault.Beta, 0)
}

// Common causes are no single faults: the audit of single faults has none, nor a verdict of its own from them.
func TestSinglesHaveNoCommonCauses(t *testing.T) {
	for _, f := range single(t, controlled(0.4)).Faults {
		assert.Empty(t, f.Fault.Members)
		assert.Equal(t, []string{f.Fault.Element}, f.Fault.Elements())
	}
}
