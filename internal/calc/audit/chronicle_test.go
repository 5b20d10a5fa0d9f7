package audit

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
)

func chronicle(t *testing.T, p plan.Plan, id string) *Chronicle {
	t.Helper()
	audited, err := Follow(t.Context(), p)
	require.NoError(t, err)
	c, err := audited.Chronicle(t.Context(), id)
	require.NoError(t, err)
	return c
}

func (c *Chronicle) first(kind MomentKind) *Moment {
	i := slices.IndexFunc(c.Moments, func(m Moment) bool { return m.Kind == kind })
	if i < 0 {
		return nil
	}
	return &c.Moments[i]
}

// What a chronicle tells is what the audit found: the same hours, and at harm the water is where harm begins.
func TestAChronicleTellsWhatTheAuditFound(t *testing.T) {
	p := bare()
	c := chronicle(t, p, "heater.thermostat_welded")
	require.NotNil(t, c)
	require.NotNil(t, c.Fault.HarmH)
	assert.Equal(t, *c.Fault.HarmH, c.first(HarmMoment).AtH)
	assert.Equal(t, FaultMoment, c.Moments[0].Kind)
	assert.True(t, slices.IsSortedFunc(c.Moments, func(a, b Moment) int {
		if a.AtH < b.AtH {
			return -1
		} else if a.AtH > b.AtH {
			return 1
		}
		return 0
	}))
	require.Len(t, c.DisplayMM, len(c.Samples))
	limit := *c.Limits.HarmHighC
	reached := slices.IndexFunc(c.Samples, func(s sim.Sample) bool { return s.TempC >= limit })
	require.GreaterOrEqual(t, reached, 0)
	assert.LessOrEqual(t, c.Samples[reached].AtS/secondsPerHour, *c.Fault.HarmH+c.HoursH/samplesPerTimeline,
		"harm counts once the limit has been passed for its time")
	assert.Greater(t, c.HoursH, *c.Fault.HarmH)
	assert.Nil(t, chronicle(t, p, "heater.explodes"))
}

// Worked by hand: the display stands 20 mm lower once the return has stopped, which is how deep its nozzle lies.
func TestADisplayFallsWhenItsReturnStops(t *testing.T) {
	p := bare()
	p.Sump = &plan.Sump{LengthMM: 500, WidthMM: 350, HeightMM: 400, WaterLevelMM: 200, WallMM: 10, Material: "glass",
		Lid: "open"}
	p.Display.DrainBackMM = 20
	c := chronicle(t, p, "return-pump.stopped")
	require.NotNil(t, c)
	assert.InDelta(t, -20, c.DisplayMM[1], 1, "less what evaporates within one sample")
	assert.Positive(t, c.Samples[1].LevelMM, "the sump takes it")
	assert.NotNil(t, c.first(SteppedIn), "the flow stops")
}
