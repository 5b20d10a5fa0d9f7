package transport

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	jsonpatch "github.com/evanphx/json-patch/v5"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// patched is whatever carries a patch in an answer about a plan.
type patched struct {
	Code  string          `json:"code"`
	Patch json.RawMessage `json:"patch"`
}

// patchesOf are all patches that plan-audit and plan-remedies propose for a plan.
func patchesOf(t *testing.T, s *Server, plan string, searched bool) []patched {
	t.Helper()
	var out []patched
	var a struct {
		Result struct {
			Findings []patched `json:"findings"`
		} `json:"result"`
	}
	r := post(t, s, "/v1/plan-audit", plan)
	require.Equal(t, 200, r.status, "%s", r.body)
	require.NoError(t, json.Unmarshal(r.body, &a))
	out = append(out, a.Result.Findings...)
	if searched {
		var f struct {
			Result struct {
				Sets, Best, Next, Tests []patched
			} `json:"result"`
		}
		r = post(t, s, "/v1/plan-remedies", plan)
		require.Equal(t, 200, r.status, "%s", r.body)
		require.NoError(t, json.Unmarshal(r.body, &f))
		for _, list := range [][]patched{f.Result.Sets, f.Result.Best, f.Result.Next, f.Result.Tests} {
			out = append(out, list...)
		}
	}
	return out
}

// flawed breaks a plan at random: heaters too large and without their thermostats, no alarms, a large reservoir, a
// longer absence, no battery.
func flawed(t *testing.T, random *rand.Rand, plan []byte) string {
	t.Helper()
	var p map[string]any
	require.NoError(t, json.Unmarshal(plan, &p))
	each := func(list string, edit func(x map[string]any)) {
		elements, _ := p[list].([]any)
		for _, x := range elements {
			edit(x.(map[string]any))
		}
	}
	if random.IntN(2) == 0 {
		each("heaters", func(x map[string]any) {
			x["power_w"] = 3 * x["power_w"].(float64)
			delete(x, "thermostat_c")
		})
	}
	if random.IntN(2) == 0 {
		each("reservoirs", func(x map[string]any) { x["volume_l"] = 3 * x["volume_l"].(float64) })
	}
	if random.IntN(2) == 0 {
		each("alarms", func(x map[string]any) {
			if _, own := x["paths"]; !own {
				x["path"] = "audible"
			}
		})
	}
	if random.IntN(2) == 0 {
		p["power"].(map[string]any)["longest_outage_h"] = 20
	}
	out, err := json.Marshal(p)
	require.NoError(t, err)
	return string(out)
}

// Whatever change is proposed for a plan, the service takes the plan with it: over the gallery, the examples, and
// drafted plans that were broken at random.
func TestEveryProposedPatchIsAccepted(t *testing.T) {
	s := newTestServer(t)
	random := rand.New(rand.NewPCG(15, 4))
	plans := map[string]string{}
	found, err := filepath.Glob(filepath.Join(root(t), "testdata/api/postPlanAudit/example*.request.json"))
	require.NoError(t, err)
	for _, path := range found {
		request, err := os.ReadFile(path)
		require.NoError(t, err)
		plans[strings.TrimSuffix(filepath.Base(path), ".request.json")] = string(request)
	}
	for i, lengthMM := range []int{600, 1000, 1600} {
		ask := fmt.Sprintf(`{"display": {"length_mm": %d, "width_mm": 500, "water_depth_mm": 500},
			"room": {"usual": {"temp_c": 21, "rh_percent": 50}}, "days_away": 9}`, lengthMM)
		r := post(t, s, "/v1/plan-draft", ask)
		require.Equal(t, 200, r.status, "%s", r.body)
		var e struct {
			Result struct {
				Plan json.RawMessage `json:"plan"`
			} `json:"result"`
		}
		require.NoError(t, json.Unmarshal(r.body, &e))
		for k := range 2 {
			plans[fmt.Sprintf("drafted %d.%d", i, k)] = flawed(t, random, e.Result.Plan)
		}
	}
	tried, audits := 0, 0
	for name, plan := range plans {
		if testing.Short() && !strings.HasPrefix(name, "drafted 0") && name != "example-household-shared-probe" {
			continue
		}
		// A search takes seconds; one in four is enough of them.
		for _, p := range patchesOf(t, s, plan, random.IntN(4) == 0) {
			if p.Patch == nil {
				continue
			}
			patch, err := jsonpatch.DecodePatch(p.Patch)
			require.NoError(t, err, name)
			doc, err := patch.Apply([]byte(plan))
			require.NoError(t, err, name)
			var checked struct {
				Result struct {
					Valid bool `json:"valid"`
				} `json:"result"`
			}
			r := post(t, s, "/v1/plan-check", string(doc))
			require.Equal(t, 200, r.status, "%s %s: %s", name, p.Code, r.body)
			require.NoError(t, json.Unmarshal(r.body, &checked))
			assert.True(t, checked.Result.Valid, "%s %s: %s", name, p.Code, r.body)
			if random.IntN(4) == 0 {
				r = post(t, s, "/v1/plan-audit?detail=brief", string(doc))
				assert.Equal(t, 200, r.status, "%s %s: %s", name, p.Code, r.body)
				audits++
			}
			tried++
		}
	}
	assert.Positive(t, tried)
	t.Logf("%d plans, %d patches, %d of them audited", len(plans), tried, audits)
}
