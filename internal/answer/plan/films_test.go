package plan

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/evaporation"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/plan"
)

// The films of a plan's display are looked at in each of its rooms, at both ends of what does no harm.
func TestFilmsOfAPlan(t *testing.T) {
	number := func(v float64) *float64 { return &v }
	reached := func(coldestC float64) map[string]float64 {
		p := plan.Plan{Display: plan.Vessel{VolumeL: number(200000), LengthMM: number(20000), WidthMM: number(20000),
			WaterDepthMM: number(500), WallMM: 19, Material: heat.Glass, Lid: evaporation.LidOpen}, SalinityPSU: 35,
			Room: plan.Room{Usual: plan.RoomState{TempC: 20, RHPercent: 50},
				Coldest: &plan.RoomState{TempC: coldestC, RHPercent: 50}, AirSpeedMS: 0.05}}
		p.Limits.HarmLowC, p.Limits.HarmHighC = number(21.5), number(29.5)
		out, err := films(p)
		require.NoError(t, err)
		return out
	}
	// Ra grows with the difference of temperatures: 22.5 K instead of 12.5 K, and less viscous air.
	warm, cold := reached(17)["lively_surface_rayleigh"], reached(7)["lively_surface_rayleigh"]
	assert.Greater(t, cold, 1e11, "beyond what McAdams' relation is published for")
	assert.InDelta(t, 22.5/12.5, cold/warm, 0.25, "air properties differ by less")
}
