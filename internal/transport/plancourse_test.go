package transport

import (
	"net/http"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// An audit that is asked for one fault tells its course and draws this one alone, by its id.
func TestAnAuditTellsOneCourse(t *testing.T) {
	s := newTestServer(t)
	request, err := os.ReadFile(filepath.Join(root(t), "testdata/api/postPlanAudit",
		"example-household-shared-probe.request.json"))
	require.NoError(t, err)
	const fault = "sump-probe.frozen_low"
	answer := whatIsSaid(t, s, "postPlanAudit", "?include=charts&fault="+fault, request)
	course := answer["result"].(map[string]any)["course"].(map[string]any)
	assert.Equal(t, fault, course["fault"])
	for _, list := range []string{"temp_c", "display_level_mm", "level_mm", "salinity_psu", "spilled_l"} {
		assert.Len(t, course[list], len(course["at_h"].([]any)), list)
	}
	charts := answer["charts"].([]any)
	require.Len(t, charts, 1)
	assert.Equal(t, fault, charts[0].(map[string]any)["subject"])
	all := whatIsSaid(t, s, "postPlanAudit", "?include=charts", request)
	assert.NotContains(t, all["result"], "course")
	assert.Greater(t, len(all["charts"].([]any)), 1)

	r := post(t, s, "/v1/plan-audit?fault=no-such.fault", string(request))
	assert.Equal(t, http.StatusUnprocessableEntity, r.status)
	assert.Contains(t, string(r.body), "names no failure of this plan")
	t.Logf("%d bytes", len(post(t, s, "/v1/plan-audit?fault="+fault, string(request)).body)-
		len(post(t, s, "/v1/plan-audit", string(request)).body))
}
