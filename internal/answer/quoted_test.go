package answer

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/api"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/mixing"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/power"
	"saltwright/internal/contract"
)

// A number that the calculations know has one home; where the contract quotes it, it quotes it right.
func TestContractQuotesTheConstantsOfTheCore(t *testing.T) {
	c, err := contract.Parse(api.OpenAPI)
	require.NoError(t, err)
	body := func(operation string) *contract.Schema {
		o := c.Operation(operation)
		require.NotNil(t, o, operation)
		return o.Body
	}
	tanks := []string{
		"postHeatBalance", "postHeaterSizing", "postChillerSizing", "postEvaporativeCooling", "postAnnualBalance",
		"postModelCalibration", "postOutageEndurance",
	}
	for _, operation := range tanks {
		for name, want := range map[string]float64{
			"pumps_heat_share": heat.SubmergedPumpShare, "lights_heat_share": heat.LightShare,
		} {
			assert.Equal(t, want, body(operation).Member(name).Schema.Default, "%s %s", operation, name)
		}
	}
	coldest, warmest := plan.OtherRoomsC(25)
	_, least := plan.OtherRoomsC(0)
	cold := fmt.Sprintf("left out: %g K below the usual one", 25-coldest)
	warm := fmt.Sprintf("left out: %g K above the usual one and at least %g", warmest-25, least)
	for _, operation := range []string{"postHeaterSizing", "postChillerSizing", "postOutageEndurance",
		"postTopOffEndurance"} {
		assert.Contains(t, body(operation).Member("coldest_c").Schema.Description, cold, operation)
		assert.Contains(t, body(operation).Member("warmest_c").Schema.Description, warm, operation)
	}
	for _, q := range []struct{ operation, member, text string }{
		{"postHeaterSizing", "thermostat_c", fmt.Sprintf("left out: %g K above the set-point", heat.UsualBackstopK)},
		{"postOutageEndurance", "demand_mg_l_h", fmt.Sprintf("left out without fish: %g", power.UsualDemandMgLH)},
		{"postSalinityAdjustment", "new_water_psu", fmt.Sprintf("%d above the target to raise", mixing.UsualBrinePSU)},
	} {
		assert.Contains(t, body(q.operation).Member(q.member).Schema.Description, q.text, q.operation)
	}
	size := 500.0
	p := plan.New(24)
	p.Display = plan.Vessel{LengthMM: &size, WidthMM: &size, WaterDepthMM: &size}
	full, _, err := plan.Complete(p)
	require.NoError(t, err)
	assert.Equal(t, power.UsualDemandMgLH, *full.Oxygen.DemandMgLH, "a mixed reef's, as plans assume it")
}
