package power

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/reference"
)

// Source: testdata/reference/oxygen_demand.csv: fishes by Clarke and Johnston 1999, reef communities by Gattuso et al.
// 1996, Long et al. 2013 and Kinsey 1985. No whole tank of a home has been measured, so that the defaults are a
// judgement
// that must lie where the parts say.
func TestDefaultDemandAgreesWithPublishedParts(t *testing.T) {
	resting, routine, bare, alive, slopes := 0, 0, 0, 0, 0
	for _, r := range reference.Load(t, "oxygen_demand.csv") {
		if !r.Has("demand_mg_per_L_h") {
			if r["section"] == "fish_resting" && strings.HasPrefix(r["inputs"], "25.5 degC, one fish of 20 g") {
				assert.InEpsilon(t, r.F(t, "value"), UsualFishDemandMgKgH, 0.05, "20 g each")
			}
			continue
		}
		demand := r.F(t, "demand_mg_per_L_h")
		switch item := r["item"]; {
		case r["section"] == "tank_case" && item == "fish alone, resting":
			resting++
			assert.InDelta(t, demand, LeastDemandMgLH, 0.02, r["inputs"])
			assert.InDelta(t, demand, UsualDemandMgLH-UsualBaseDemandMgLH, 0.02, r["inputs"])
		case r["section"] == "tank_case" && strings.HasPrefix(item, "fish alone, routine"):
			routine++
			assert.InDelta(t, demand, UsualDemandMgLH, 0.04, r["inputs"])
		case r["section"] != "community_per_litre":
		case strings.HasPrefix(item, "sand and rubble"):
			bare++
			assert.Less(t, demand, UsualDemandMgLH, "a floor of sand takes less than a tank: %s", r["inputs"])
			assert.Greater(t, demand, LeastDemandMgLH, r["inputs"])
		case strings.HasPrefix(item, "live coral"):
			alive++
			assert.Less(t, demand, MostDemandMgLH, "a floor of coral tissue takes no more than the most: %s",
				r["inputs"])
		default: // whole reef slopes and flats, of which no tank holds as much a litre
			slopes++
			assert.Greater(t, demand, MostDemandMgLH, "%s: %s", item, r["inputs"])
		}
	}
	require.Equal(t, [5]int{4, 4, 3, 3, 12}, [5]int{resting, routine, bare, alive, slopes})
}
